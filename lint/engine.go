package lint

import (
	"context"
	"fmt"
	"math"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/system"
	"crownweir/lint/rule"
)

// engine runs the rules over one plan and turns judgements into findings.
type engine struct {
	*Report
	sys     *system.System
	opts    Options
	rules   map[string]*rule.Rule
	mappers map[string]*grammar.Mapper
	drafts  []draft
}

// draft is a finding before ids, order and waivers.
type draft struct {
	Finding
	copy    *system.Copy
	full    string // subject with its copies' full name
	local   string // subject as its typical names it
	fact    string
	because [][2]string
	excess  float64 // how far beyond the limit, as a share of it
}

// choose makes the engine ready for the rules that are wanted.
func (e *engine) choose() {
	e.mappers = map[string]*grammar.Mapper{}
	all := rule.All()
	for i := range all {
		if e.wanted(all[i].Name) {
			e.rules[all[i].Name] = &all[i]
		}
	}
}

func (e *engine) judge(ctx context.Context, problems []system.Problem) {
	e.choose()
	all := rule.All()
	for _, p := range append(problems, e.sys.Problems...) {
		e.problem(p)
	}
	for name, n := range e.sys.Looked {
		if e.rules[name] == nil {
			continue
		}
		c := e.Verdicts[name]
		c.Complies += max(0, n-c.Breaks-c.Undecided)
		e.Verdicts[name] = c
	}
	e.drawn()
	e.before = len(e.noted)
	c := rule.NewCase(e.sys, e.book, e.opts.Reckoning)
	e.Case = c
	var rules []*rule.Rule
	for i := range all {
		r := &all[i]
		if _, ok := e.book.Section(r.Name); ok && r.Judge != nil && e.rules[r.Name] != nil {
			rules = append(rules, r)
		}
	}
	c.Run(ctx, rules...)
	e.Book.LimitsUsed, e.Book.FromMemory = c.Used()
	if e.Book.Amendments == nil {
		e.Book.Amendments = []string{}
	}
	e.answers(c)
	e.gather()
	e.waive()
	e.identify()
	e.order()
}

// wanted tells whether a rule is to be judged.
func (e *engine) wanted(name string) bool {
	if e.opts.Severities[name] == "off" {
		return false
	}
	for _, s := range e.opts.Skip {
		if s == name {
			return false
		}
	}
	if len(e.opts.Only) == 0 {
		return true
	}
	for _, s := range e.opts.Only {
		if s == name {
			return true
		}
	}
	return false
}

func (e *engine) severity(r *rule.Rule) Severity {
	if s, ok := e.opts.Severities[r.Name]; ok {
		return Severity(s)
	}
	return r.Severity
}

// place turns a location into lines and columns.
func (e *engine) place(loc system.Loc) Place {
	f := e.sys.Files[loc.File]
	p := Place{File: loc.File, StartByte: loc.Span.Start, EndByte: loc.Span.End, Start: Position{1, 1}, End: Position{1, 1}}
	if f == nil {
		return p
	}
	m := e.mappers[loc.File]
	if m == nil {
		m = grammar.NewMapper(f.Source)
		e.mappers[loc.File] = m
	}
	p.Start.Line, p.Start.Column = m.Position(loc.Span.Start)
	p.End.Line, p.End.Column = m.Position(loc.Span.End)
	return p
}

func (e *engine) related(file string, loc system.Loc, msg string) Related {
	return Related{Message: msg, Place: e.place(loc)}
}

// edit is an edit with its file and its lines and columns.
func (e *engine) edit(loc system.Loc, text string) Edit {
	p := e.place(loc)
	return Edit{File: p.File, Start: p.Start, End: p.End, Text: text, StartByte: p.StartByte, EndByte: p.EndByte}
}

// problem turns what the parser and the system say into a finding.
func (e *engine) problem(p system.Problem) {
	r := e.rules[p.Rule]
	if r == nil {
		return
	}
	full := p.Subject
	if prefix := p.Copy.Prefix(); !strings.HasPrefix(full, prefix) {
		full = prefix + full // a name as the typical writes it
	}
	d := draft{copy: p.Copy, full: full}
	d.Finding = Finding{Rule: p.Rule, Severity: e.severity(r), Message: p.Message, Place: e.place(p.Loc), Subject: p.Subject, Basis: "plan", Remedy: p.Remedy, Note: p.Note}
	if p.Basis != "" {
		d.Basis = p.Basis
	}
	if p.HasNumber {
		d.Measured, d.Limit = &Measure{Value: tidy(p.Measured), Unit: "in"}, &Measure{Value: tidy(p.Limit), Unit: "in", Kind: "max"}
		if p.Limit > 0 {
			d.excess = p.Measured / p.Limit
		}
	}
	for _, rel := range p.Related {
		d.Related = append(d.Related, e.related(p.Loc.File, rel.Loc, rel.Message))
	}
	if p.Suggest != "" {
		d.Fixes = []Fix{{Title: "write " + p.Suggest, Edits: []Edit{e.edit(p.Loc, p.Suggest)}}}
	}
	e.count(p.Rule, r.Severity)
	e.told(&d, r.Severity)
	e.drafts = append(e.drafts, d)
}

func (e *engine) count(name string, s Severity) {
	c := e.Verdicts[name]
	if s == Correction {
		c.Breaks++
	} else {
		c.Undecided++
	}
	e.Verdicts[name] = c
}

func tidy(v float64) float64 { return math.Round(v*1e4) / 1e4 }

// answers counts verdicts and turns breaches and open questions into findings.
func (e *engine) answers(c *rule.Case) {
	type wait struct {
		d     draft
		rules []string
	}
	unsized := map[string]bool{}
	for _, p := range e.sys.Problems {
		if p.Rule == "unsized-run" && e.rules[p.Rule] != nil {
			unsized[p.Subject] = true
		}
	}
	waits := map[string]*wait{}
	var order []string
	for r, n := range c.Complied() {
		if n > 0 {
			v := e.Verdicts[r.Name]
			v.Complies += n
			e.Verdicts[r.Name] = v
		}
	}
	for j := range c.Faults() {
		v := e.Verdicts[j.Rule.Name]
		if j.Answer == rule.Breaks {
			v.Breaks++
		} else {
			v.Undecided++
		}
		e.Verdicts[j.Rule.Name] = v
		if j.Asked {
			e.Unknowns++
			continue
		}
		if j.Answer == rule.Undecided && j.Missing == "size of "+j.Subject && unsized[j.Subject] {
			continue // unsized-run has told it
		}
		if j.Answer == rule.Undecided && j.Missing != "" {
			key := fmt.Sprint(j.Loc, j.Missing, j.Copy)
			w := waits[key]
			if w == nil {
				w = &wait{d: e.draft(j)}
				w.d.fact = j.Missing
				waits[key] = w
				order = append(order, key)
				w.d.Remedy = j.Write
				w.d.Message = j.Missing
			} else if j.Rule.Name == w.rules[0] && j.Subject < w.d.full { // the order of lines says nothing: the first name speaks
				w.d.full, w.d.Subject = j.Subject, j.Subject
			}
			if n := len(w.rules); n == 0 || w.rules[n-1] != j.Rule.Name {
				w.rules = append(w.rules, j.Rule.Name)
			}
			continue
		}
		e.drafts = append(e.drafts, e.draft(j))
	}
	mf := e.rules["missing-fact"]
	if mf == nil {
		return
	}
	for _, key := range order {
		w := waits[key]
		w.d.Rule, w.d.Severity, w.d.Section = "missing-fact", e.severity(mf), ""
		w.d.Message = fmt.Sprintf("%s; %s %s for it", Unwritten(w.d.Message), listOf(w.rules), waitWord(len(w.rules)))
		c := e.Verdicts["missing-fact"]
		c.Undecided++
		e.Verdicts["missing-fact"] = c
		e.told(&w.d, Caution)
		e.drafts = append(e.drafts, w.d)
	}
}

// Unwritten says that a fact is missing: "the size of D-1 is not written".
func Unwritten(fact string) string {
	verb := "is"
	if what, _, _ := strings.Cut(fact, " of "); strings.HasSuffix(what, "s") && !strings.HasSuffix(what, "ss") { // the loss
		verb = "are"
	}
	return "the " + fact + " " + verb + " not written"
}

func waitWord(n int) string {
	if n == 1 {
		return "waits"
	}
	return "wait"
}

func listOf(names []string) string {
	if len(names) == 1 {
		return names[0]
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

func (e *engine) draft(j *rule.Judgement) draft {
	d := draft{copy: j.Copy, full: j.Subject, fact: j.Fact, because: j.Because}
	d.Finding = Finding{Rule: j.Rule.Name, Severity: e.severity(j.Rule), Message: j.Message, Place: e.place(j.Loc), Subject: j.Subject,
		Basis: "plan", Remedy: j.Remedy, Note: j.Note, Section: e.section(j)}
	if j.Severity != "" && e.opts.Severities[j.Rule.Name] == "" {
		d.Severity = j.Severity
	}
	if j.Basis != "" {
		d.Basis = j.Basis
	}
	if j.Measured != nil {
		d.Measured = &Measure{Value: tidy(j.Measured.Value), Unit: j.Measured.Unit}
	}
	if j.Limit != nil {
		d.Limit = &Measure{Value: tidy(j.Limit.Value), Unit: j.Limit.Unit, Kind: j.Limit.Kind}
	}
	if j.Measured != nil && j.Limit != nil && j.Limit.Value != 0 {
		d.excess = math.Abs(j.Measured.Value-j.Limit.Value) / j.Limit.Value
	}
	for _, rel := range j.Related {
		d.Related = append(d.Related, e.related(j.Loc.File, rel.Loc, rel.Message))
	}
	for _, fx := range j.Fixes {
		fix := Fix{Title: fx.Title}
		for _, ed := range fx.Edits {
			fix.Edits = append(fix.Edits, e.edit(ed.Loc, ed.Text))
		}
		d.Fixes = append(d.Fixes, fix)
	}
	return d
}

func (e *engine) section(j *rule.Judgement) string {
	s := j.Section
	if s == "" {
		s, _ = e.book.Section(j.Rule.Name)
	}
	if s == "" {
		return ""
	}
	return e.book.Title + " " + s
}
