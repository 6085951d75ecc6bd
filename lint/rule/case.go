package rule

import (
	"context"
	"iter"
	"maps"
	"runtime"
	"slices"
	"sync"

	"github.com/sourcegraph/conc"
	each "github.com/sourcegraph/conc/iter"

	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/pressure"
	"crownweir/lint/sizing"
	"crownweir/lint/venting"
)

// Case is what rules judge: a system under a book, with its ledger and venting,
// and what was judged of it.
type Case struct {
	*facts
	told  []*ruling // in the order of the rules
	ruled *ruling   // of the rule that is judged
}

// facts are what all rules of a case judge by. They are worked out before the
// rules run, or once by the first that asks: rules run side by side.
type facts struct {
	Sys    *system.System
	Book   *codebook.Book
	Ledger *sizing.Ledger
	Vents  *venting.Analysis

	arms [][]venting.Stretch // by pipe

	water     func() *sizing.Supply
	pressure  func() *pressure.Analysis
	stretched func() [][]stretch           // by pipe
	sinks     func() []sinkAsk             // by node
	washing   func() []*system.Point       // by node, one upstream
	armsNamed func() []*venting.Arm        // by the names of their fixtures
	untrapped func() map[*system.Pipe]bool // pipes that lie before a trap
}

// ruling is what one rule answered.
type ruling struct {
	rule     *Rule
	answers  [][]answer // by the block
	said     int
	complied int
	used     map[cellKey]bool
	recent   [8]cellKey // most cells are asked for again and again
	turn     int        // of recent
}

// answer is a judgement; of a subject that complies there is mostly no more to
// keep than its name.
type answer struct {
	subject string
	full    *Judgement
}

type cellKey struct {
	section, source string
	value           float64
	memory          bool
}

// NewCase makes the case of a system under a book; how is the way in which water
// is reckoned.
func NewCase(sys *system.System, book *codebook.Book, how pressure.Options) *Case {
	c := &Case{facts: &facts{Sys: sys, Book: book}}
	var beside conc.WaitGroup
	beside.Go(func() { c.Vents = venting.Walk(sys, book) })
	c.Ledger = sizing.New(sys, book)
	beside.Wait()
	c.Vents.Judge(c.Ledger)
	c.findArms()
	c.water = sync.OnceValue(func() *sizing.Supply { return sizing.NewSupply(c.Ledger) })
	c.pressure = sync.OnceValue(func() *pressure.Analysis { return pressure.New(c.Water(), how) })
	c.stretched = sync.OnceValue(c.findStretches)
	c.sinks = sync.OnceValue(c.findSinkAsks)
	c.washing = sync.OnceValue(c.findWashers)
	c.armsNamed = sync.OnceValue(c.findArmsByName)
	c.untrapped = sync.OnceValue(c.findBeforeTraps)
	return c
}

// Run judges rules, several at a time; what they answered stands in the order of
// the rules. It ends early where ctx does.
func (c *Case) Run(ctx context.Context, rules ...*Rule) {
	told := make([]*ruling, len(rules))
	for i, r := range rules {
		told[i] = &ruling{rule: r}
	}
	c.told = append(c.told, told...)
	judge := func(r *ruling) {
		if ctx.Err() == nil {
			r.rule.Judge(&Case{c.facts, c.told, r})
		}
	}
	each.ForEach(told, func(r **ruling) {
		if !(*r).rule.After {
			judge(*r)
			runtime.Gosched() // a question may wait for the processor
		}
	})
	for _, r := range told {
		if r.rule.After {
			judge(r)
		}
	}
}

// Judgements are what the rules answered, rule by rule. A judgement is the
// caller's only until the next.
func (c *Case) Judgements() iter.Seq[*Judgement] {
	return func(yield func(*Judgement) bool) {
		var plain Judgement
		for _, r := range c.told {
			for a := range r.each() {
				j := a.full
				if j == nil {
					plain = Judgement{Rule: r.rule, Answer: Complies, Subject: a.subject}
					j = &plain
				}
				if !yield(j) {
					return
				}
			}
		}
	}
}

// Faults are the judgements that do not comply, rule by rule.
func (c *Case) Faults() iter.Seq[*Judgement] {
	return func(yield func(*Judgement) bool) {
		for _, r := range c.told {
			if r.complied == r.said {
				continue
			}
			for a := range r.each() {
				if j := a.full; j != nil && j.Answer != Complies && !yield(j) {
					return
				}
			}
		}
	}
}

// Complied tells how many subjects comply, by rule.
func (c *Case) Complied() iter.Seq2[*Rule, int] {
	return func(yield func(*Rule, int) bool) {
		for _, r := range c.told {
			if !yield(r.rule, r.complied) {
				return
			}
		}
	}
}

// Used counts the distinct cells compared with, and those from memory.
func (c *Case) Used() (cells, memory int) {
	used := map[cellKey]bool{}
	for _, r := range c.told {
		maps.Copy(used, r.used)
	}
	for k := range used {
		cells++
		if k.memory {
			memory++
		}
	}
	return cells, memory
}

// say records a judgement of the running rule and hands out where it is kept.
func (c *Case) say(j Judgement) *Judgement {
	j.Rule = c.ruled.rule
	if j.Answer == Complies {
		c.ruled.complied++
	}
	c.ruled.add(answer{full: &j})
	return &j
}

// complies records that a subject was looked at and complies.
func (c *Case) complies(subject string) {
	c.ruled.complied++
	c.ruled.add(answer{subject: subject})
}

// use notes the cells a judgement rests on and gives the section of the first.
func (c *Case) use(cells ...codebook.Cell) string {
	section := ""
	for i := range cells {
		cell := &cells[i]
		if !cell.OK {
			continue
		}
		c.ruled.use(cellKey{cell.Section, cell.Source, cell.Value, cell.Memory})
		if section == "" {
			section = cell.Section
		}
	}
	return section
}

func (r *ruling) use(key cellKey) {
	if slices.Contains(r.recent[:min(r.turn, len(r.recent))], key) {
		return
	}
	if r.used == nil {
		r.used = map[cellKey]bool{}
	}
	r.used[key] = true
	r.recent[r.turn%len(r.recent)] = key
	r.turn++
}

// add takes an answer. Answers stand in blocks: a large plan has many, and
// making room by doubling would copy them and leave half of it empty.
func (r *ruling) add(a answer) {
	const block = 256
	if r.said%block == 0 {
		var room []answer // the first grows as it must: most plans are small
		if r.said > 0 {
			room = make([]answer, 0, block)
		}
		r.answers = append(r.answers, room)
	}
	last := &r.answers[len(r.answers)-1]
	*last = append(*last, a)
	r.said++
}

func (r *ruling) each() iter.Seq[*answer] {
	return func(yield func(*answer) bool) {
		for _, block := range r.answers {
			for i := range block {
				if !yield(&block[i]) {
					return
				}
			}
		}
	}
}

// undecided records that a fact is missing.
func (c *Case) undecided(subject string, copy *system.Copy, loc system.Loc, missing, write string) {
	c.say(Judgement{Answer: Undecided, Subject: subject, Copy: copy, Loc: loc, Missing: missing, Write: write})
}
