package grammar

import "crownweir/grammar/quantity"

// Span is a half-open range of byte offsets into a file's source.
type Span struct{ Start, End int }

// Word is a token's text and where it stood. The zero Word is "not written".
type Word struct {
	Text string
	Span Span
}

// Qty is a written quantity and where it stood. Kind None is "not written".
type Qty struct {
	quantity.Value
	Span Span
}

// Ref is a name or a range of names (`S1..S8`, `F12.ba..F3.ba`); Last is the
// zero Word where a single name stands.
type Ref struct {
	First, Last Word
	Span        Span
}

// Attr is a keyword with its operands: an attribute of a point, a setting of
// a device, a mark of a leg. Key is the canonical word.
type Attr struct {
	Key    string
	Word   Word // the keyword as written
	Values []Operand
	Span   Span
}

// OperandKind tells which field of an Operand is set.
type OperandKind uint8

const (
	OperandWord    OperandKind = iota // a bare word or name: Text
	OperandQty                        // Qty
	OperandTuple                      // Tuple: `10',4'` or `6',3',8'`
	OperandString                     // Text, unquoted
	OperandUnknown                    // the word `unknown`
	OperandSolve                      // `?`
)

// Operand is one value of an attribute.
type Operand struct {
	Kind  OperandKind
	Text  string
	Qty   quantity.Value
	Tuple []quantity.Value
	Span  Span
}

// Height is a written height: a quantity, and the level or point it counts
// from where one is named. Value.SI is signed upwards from Of (a `below` is
// already negated).
type Height struct {
	Value Qty
	Rel   string // "above", "below" or ""
	Of    Word   // level, or (after `below` in `at`) a level; zero where none
	Span  Span
}

// Statement is one statement of a plan.
type Statement interface {
	Pos() Span       // the whole statement, continuation lines included
	Keyword() string // its first word, canonical
}

// Base carries what every statement has.
type Base struct {
	Span Span
	Key  Word
}

func (b *Base) Pos() Span       { return b.Span }
func (b *Base) Keyword() string { return b.Key.Text }

type (
	// Plan: `plan "Juniper Court, house 4"`
	Plan struct {
		Base
		Title Word // unquoted text
	}
	// Code: `code upc-2021 [amended by "city.toml"]`
	Code struct {
		Base
		Book    Word
		Amended []Word
	}
	// Occupancy: `occupancy private`
	Occupancy struct {
		Base
		Use Word
	}
	// Scope: `scope drainage vents water`
	Scope struct {
		Base
		Systems []Word
	}
	// Default: `default drain abs` | `default fall 1/4` | `default stop`
	Default struct {
		Base
		What     Word // drain, vent, water, fall, stop
		Material Word
		Fall     Qty
	}
	// Method: `method table|engineered`
	Method struct {
		Base
		Name Word
	}
	// Climate: `climate winter -10F`
	Climate struct {
		Base
		Winter Qty
	}
	// Dwelling: `dwelling [NAME] baths 2.5 bedrooms 3`
	Dwelling struct {
		Base
		Name  Word
		Attrs []Attr
	}
	// Include: `include "typicals.weir"`
	Include struct {
		Base
		Path Word
	}
	// Note: `note "..." [on NAME]`
	Note struct {
		Base
		Text Word
		On   Ref
	}
	// Building: `building adu`
	Building struct {
		Base
		Name Word
	}
	// Level: `level l3..l12 at 20' every 10' [of BUILDING]`
	Level struct {
		Base
		Name     Ref
		At       Height
		Every    Qty
		Building Word
	}
	// Roof: `roof [NAME] at 20' [of BUILDING]`
	Roof struct {
		Base
		Name     Word
		At       Height
		Building Word
	}
	// Room: `room kitchen on ground [use food] [of DWELLING] [private] [ceiling 8']`
	Room struct {
		Base
		Name     Word
		On       Word
		Use      Word
		Dwelling Word
		Access   Word // private, public, assembly
		Ceiling  Qty
	}
	// Point is every statement that makes a named point: fixture, main,
	// outfall, terminal, heater, manifold, ejector, interceptor, fitting,
	// object, existing. Kind is the word after the name (a fixture's kind, an
	// interceptor's, a fitting's, an object's, `admittance` or `roof` of a
	// terminal, `sewer` or `septic` of an outfall); for `existing` it is the
	// word before the name (drain, stack, supply, vent, vents).
	Point struct {
		Base
		Name  Word
		Kind  Word // canonical (short forms spelled out)
		At    At
		Attrs []Attr
	}
	// Run is a run of pipe, or a chain of them where To is zero and From is
	// a range or a list of them.
	Run struct {
		Base
		From     Ref
		To       Ref
		Size     Qty
		Solve    Word // the `?` where one stands for the size
		Material Word
		Tag      Word
		Existing bool
		Claim    Word // system CLAIM
		Items    []Item
	}
	// Meet: `meet st3 F3.ba G3.ba`
	Meet struct {
		Base
		Names []Ref
	}
	// Place: `place bath-a as B2 in hall-bath on upper at 10',4' opposite-hand facing south every east 28"`
	Place struct {
		Base
		Typical  Word
		As       Ref
		In       Word
		On       Ref
		At       At
		Every    Word // direction
		EveryLen Qty
		Opposite bool
		Facing   Word
	}
	// Except: `except F3 drain WC to w1 3": ...` replaces; `except F3..F5 no drain w3 to ba` removes.
	Except struct {
		Base
		Copies Ref
		No     bool
		// With is the statement that replaces (nil where No).
		With Statement
		// What names what is taken away, where No: the keyword, the name or
		// the run's ends or tag.
		What   Word
		Name   Ref
		NameTo Ref
	}
	// Typical: `typical bath-a` ... `end`; Body holds what stands between.
	Typical struct {
		Base
		Name   Word
		Body   []Statement
		Closed bool // false where no `end` was found
		End    Word // the `end`, zero where none was found
	}
	// Inspection: `inspection rough-in on 2026-11-02`
	Inspection struct {
		Base
		Stage Word
		On    Word
	}
	// Subject names what a found or waive line speaks of: a point, a tag, or a run by its ends.
	Subject struct {
		System Word // drain, vent, ... where a run is named by its ends
		From   Ref
		To     Ref
		Span   Span
	}
	// Found: `found WC1 side 14-1/2"`, `found MOP-1 without vacuum-breaker`, `found k1 with sanitary-tee`
	Found struct {
		Base
		Subject Subject
		With    Word
		Without Word
		Attrs   []Attr
		On      Word
	}
	// Test: `test drainage water 10' for 15min held`
	Test struct {
		Base
		System   Word // drainage, supply, ...
		Medium   Word // water, air
		Head     Qty  // a head (Length) or a Pressure
		Duration Qty
		Result   Word // held, lost
		On       Word
	}
	// Waive: `waive RULE on SUBJECT because "..." [approved "..."] [until DATE]`
	Waive struct {
		Base
		Rule     Word
		Subject  Subject
		Because  Word
		Approved Word
		Until    Word
	}
)

// At is what follows `at`: a height, a pair (x, y), or a triple.
type At struct {
	Height Height           // Height.Value.Kind is None where none is written
	Tuple  []quantity.Value // x, y[, z]
	Invert bool             // written `invert` instead of `at`
	Span   Span
}

// ItemKind tells what an Item of a run is.
type ItemKind uint8

const (
	Leg ItemKind = iota
	Device
	Turn
	PicksUp
	Enters
)

// TargetKind tells what a leg's length is given by.
type TargetKind uint8

const (
	ByLength TargetKind = iota
	ToHeight            // `up to 44"`, `down to 1'6" below ground`
	ToRoof              // `up to roof`
	ToPoint             // `down to k2`
	ToSuit
)

// Item is one item of a run, in its order.
type Item struct {
	Kind       ItemKind
	By         TargetKind // of a leg
	Across     bool       // the length is the level offset of a slanting leg
	FallToSuit bool
	Word       Word // the direction, device, turn, `picks-up` or `enters`, canonical text
	// marks of a leg, settings of a device (trap SIZE has Key "size")
	Attrs  []Attr
	Length Qty // ByLength
	Fall   Qty // fall GRADE
	Drop   Qty // drop LEN
	Span   Span

	*Aim // never nil; most items share one that is empty
}

// Aim is what an item names beside itself.
type Aim struct {
	Height Height // ToHeight
	Point  Word   // ToPoint
	Ref    Ref    // picks-up
	Side   Word   // enters: top, side or heel
}

// aimless is what items have that name nothing; it is not written to.
var aimless = &Aim{}

// File is one file read: its source, every statement that could be read, in
// order, and what could not.
type File struct {
	Path       string
	Source     string
	Statements []Statement
	Comments   []Word
	Problems   []Problem
}

// Problem is a line or a word that could not be taken, with its remedy. Rule
// is one of the drafting rules: unreadable-line, unknown-word, wrong-unit,
// indented-statement, refused-input.
type Problem struct {
	Rule    string
	Span    Span
	Message string
	Remedy  string
	// Suggest is the nearest word that would be accepted in Span's place, where there is one.
	Suggest string
}
