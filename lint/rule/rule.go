// Package rule holds the rules: each is data (name, title, why, how it is
// computed) and one judging function over a case. A rule answers for every
// subject it looks at: complies, breaks, or undecided with the missing fact.
//
// It refuses to know limits, which stand in the code book; loads and lengths,
// which stand in the ledger, the venting and the system; and how a finding is
// worded for a reader's screen, sorted, merged or waived.
package rule

import (
	"embed"
	"sort"
	"strings"
	"sync"

	"crownweir/grammar"
	"crownweir/grammar/system"
)

// Severity says what a finding asks for.
type Severity string

const (
	Correction Severity = "correction" // breaks the adopted code
	Caution    Severity = "caution"    // cannot be proved from the plan, or needs judgement
	Advice     Severity = "advice"     // good practice
)

// Rule is one rule of the catalogue.
type Rule struct {
	Name     string
	Family   string
	Title    string
	Severity Severity
	Why      string
	Computed string
	Needs    []string
	// Judge is nil for drafting rules, which the system and the parser judge
	// as they build.
	Judge func(*Case)
	// After: it reads what other rules found, and is judged after all of them.
	After bool
}

//go:embed all:examples
var examples embed.FS

// Example is the rule's bad or good plan.
func (r Rule) Example(which string) string {
	b, err := examples.ReadFile("examples/" + r.Name + "." + which + ".weir")
	if err != nil {
		return ""
	}
	return string(b)
}

// Answer is one of the three.
type Answer uint8

const (
	Complies Answer = iota
	Breaks
	Undecided
)

// Measure is a number with its unit; Kind of a limit is "max" or "min".
type Measure struct {
	Value float64
	Unit  string
	Kind  string
}

// Related is a second place a judgement speaks of.
type Related struct {
	Loc     system.Loc
	Message string
}

// Edit replaces a span of a file.
type Edit struct {
	Loc  system.Loc
	Text string
}

// Fix is a way to satisfy the rule by edits of the plan.
type Fix struct {
	Title string
	Edits []Edit
}

// Judgement is one rule's answer for one subject.
type Judgement struct {
	Rule            *Rule
	Answer          Answer
	Subject         string
	Copy            *system.Copy // the placed typical whose line it is, or nil
	Loc             system.Loc
	Message         string
	Note            string // stands under the marker
	Remedy          string
	Section         string // of the cell compared with; "" takes the rule's
	Measured, Limit *Measure
	Related         []Related
	Fixes           []Fix
	Basis           string // "found" where a found line decides, else plan
	// Fact tells two facts of one rule and subject apart.
	Fact string
	// Because names judgements this one follows from, by rule and subject.
	Because [][2]string
	// Missing is the fact an undecided judgement waits for, as "length of KS
	// to k1"; Write is what to write. Empty: the rule itself cannot decide.
	Missing, Write string
	// Asked: the plan says `unknown`; counted, not repeated.
	Asked bool
	// Severity overrides the rule's.
	Severity Severity
}

// All lists the catalogue, family by family. The list is shared and not to be
// written to.
func All() []Rule { return catalogue() }

var catalogue = sync.OnceValue(func() []Rule {
	var out []Rule
	for _, f := range [][]Rule{
		drafting(),
		drainage(), flowRules(), turns(), pumped(), waste(),
		traps(), trapForms(),
		vents(), methods(), terminals(), stackRules(),
		cleanouts(), cleanoutForms(),
		supply(), supplyPressure(), supplyDevices(), scald(),
	} {
		out = append(out, f...)
	}
	order := map[string]int{"Drafting": 0, "Drainage": 1, "Traps": 2, "Vents": 3, "Cleanouts": 4, "Supply": 5, "Protection": 6}
	sort.SliceStable(out, func(i, j int) bool { return order[out[i].Family] < order[out[j].Family] })
	return out[:len(out):len(out)]
})

func max64(a, b float64) float64 {
	if a > b {
		return a
	}
	return b
}

// itemSpan covers the run's items from i to j inclusive.
func itemSpan(r *system.Run, i, j int) system.Loc {
	items := r.Stmt.Items
	if i < 0 || j >= len(items) || i > j {
		return system.Loc{File: r.File, Span: r.Stmt.Pos()}
	}
	return system.Loc{File: r.File, Span: grammar.Span{Start: items[i].Span.Start, End: items[j].Span.End}}
}

// sizeLoc is where a run's size stands, else its ends.
func sizeLoc(r *system.Run) system.Loc {
	if loc, ok := r.FoundAt["size"]; ok {
		return loc
	}
	if s := r.Stmt.Size.Span; s.End > s.Start {
		return system.Loc{File: r.File, Span: s}
	}
	return endsLoc(r)
}

func endsLoc(r *system.Run) system.Loc {
	return system.Loc{File: r.File, Span: r.Stmt.Ends()}
}

func basisOf(r *system.Run, key string) string {
	if _, ok := r.FoundAt[key]; ok {
		return "found"
	}
	return "plan"
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

func joinNames(names []string) string {
	switch len(names) {
	case 0:
		return ""
	case 1:
		return names[0]
	}
	if len(names) > 4 {
		return strings.Join(names[:3], ", ") + " and others"
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}
