package lint

import "crownweir/lint/rule"

// Severity says what a finding asks for.
type Severity = rule.Severity

const (
	Correction = rule.Correction // breaks the adopted code
	Caution    = rule.Caution    // cannot be proved from the plan, or needs judgement
	Advice     = rule.Advice     // good practice
)

// Position counts lines and columns from 1, columns in Unicode code points.
type Position struct {
	Line   int `json:"line"`
	Column int `json:"column"`
}

// Place is a range of a file. Start and End are positions; the byte offsets
// are for edits and excerpts.
type Place struct {
	File      string   `json:"file"`
	Start     Position `json:"start"`
	End       Position `json:"end"`
	StartByte int      `json:"-"`
	EndByte   int      `json:"-"`
}

// Related is a second place that a finding speaks of.
type Related struct {
	Message string `json:"message"`
	Place
}

// Measure is a number with its unit. Kind of a limit is "max" or "min".
type Measure struct {
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
	Kind  string  `json:"kind,omitempty"`
}

// Edit replaces a range of a file by a text. The file may be another than the
// finding's: what is wrong in one may be mended in one that it includes.
type Edit struct {
	File      string   `json:"file"`
	Start     Position `json:"start"`
	End       Position `json:"end"`
	Text      string   `json:"text"`
	StartByte int      `json:"-"`
	EndByte   int      `json:"-"`
}

// Fix is a way to satisfy the rule by edits of the plan, all of them together.
// No two of them lie at one place.
type Fix struct {
	Title string `json:"title"`
	Edits []Edit `json:"edits"`
}

// Waiver is the waive line that answers a finding.
type Waiver struct {
	Because  string `json:"because"`
	Approved string `json:"approved,omitempty"`
	Until    string `json:"until,omitempty"`
	Line     int    `json:"line"`
}

// Answer is one of the three.
type Answer string

const (
	Complies  Answer = "complies"
	Breaks    Answer = "breaks"
	Undecided Answer = "undecided"
)

// Judgement is a rule's answer for a subject. Where a rule of the drawing looks
// at many subjects alike, one judgement stands for those that comply.
type Judgement struct {
	Rule     string   `json:"rule"`
	Subject  string   `json:"subject"` // "" where it stands for several
	Count    int      `json:"count"`   // how many requirements it stands for
	Answer   Answer   `json:"answer"`
	Message  string   `json:"message"`
	Section  string   `json:"section"` // without the book's name
	Measured *Measure `json:"measured"`
	Limit    *Measure `json:"limit"`
	// Missing is the fact that an undecided one waits for, or "".
	Missing string `json:"missing"`
	// Fact tells two facts of one rule and subject apart, or "".
	Fact string `json:"-"`
}

// Finding is one thing the plan must answer for.
type Finding struct {
	ID       string   `json:"id"`
	Rule     string   `json:"rule"`
	Severity Severity `json:"severity"`
	Message  string   `json:"message"`
	Place
	Subject  string    `json:"subject"`
	Copies   []string  `json:"copies"`
	Because  []string  `json:"because"`
	Section  string    `json:"section"` // "UPC 2021 Table 1002.2"
	Measured *Measure  `json:"measured"`
	Limit    *Measure  `json:"limit"`
	Basis    string    `json:"basis"` // plan, found
	Waived   *Waiver   `json:"waived"`
	Related  []Related `json:"related"`
	Fixes    []Fix     `json:"fixes"`
	// Remedy is the one thing that would satisfy the rule, in words.
	Remedy string `json:"remedy"`
	// Note stands under the excerpt's marker.
	Note string `json:"note,omitempty"`
}
