package lint

import (
	"fmt"
	"strings"
	"time"

	"crownweir/grammar"
	"crownweir/grammar/system"
	"crownweir/lint/rule"
)

// waive lets the plan's waivers answer findings; one that answers none, or
// that has run out, is itself told.
func (e *engine) waive() {
	known := map[string]bool{}
	for _, r := range rule.All() {
		known[r.Name] = true
	}
	for _, rec := range e.sys.Records {
		w, ok := rec.Stmt.(*grammar.Waive)
		if !ok {
			continue
		}
		loc := rec.Loc()
		prefix := rec.Copy.Prefix()
		subject := system.SubjectText(w.Subject)
		if until, err := time.Parse("2006-01-02", w.Until.Text); w.Until.Text != "" && err == nil && !e.opts.Today.IsZero() {
			if day := e.opts.Today.UTC().Truncate(24 * time.Hour); until.Before(day) {
				e.note("expired-waiver", rec, system.Loc{File: rec.File, Span: w.Until.Span}, subject,
					fmt.Sprintf("waiver of %s on %s ran out on %s", w.Rule.Text, subject, w.Until.Text), "renew the approval, or correct the fault")
				continue
			}
		}
		names, fine := w.Subject.From.Names()
		if !fine {
			names = []string{w.Subject.From.First.Text}
		}
		hit := false
		for i := range e.drafts {
			d := &e.drafts[i]
			if d.Rule != w.Rule.Text || !e.covers(d, w, names, prefix) {
				continue
			}
			hit = true
			if d.Waived == nil {
				d.Waived = &Waiver{Because: w.Because.Text, Approved: w.Approved.Text, Until: w.Until.Text, Line: e.place(loc).Start.Line}
			}
		}
		if hit {
			continue
		}
		msg := fmt.Sprintf("waiver answers nothing: %s finds no fault at %s", w.Rule.Text, subject)
		remedy := "take the line out, or correct its rule or subject"
		if !known[w.Rule.Text] {
			msg = fmt.Sprintf("waiver names %s, which is no rule", w.Rule.Text)
			if near := grammar.Nearest(w.Rule.Text, sortedKeys(known)); near != "" {
				msg += "; did you mean " + near
			}
		} else if e.rules[w.Rule.Text] == nil {
			continue // the rule was left out of this check
		}
		e.note("idle-waiver", rec, loc, subject, msg, remedy)
	}
}

// covers tells whether a waiver's subject is the finding's.
func (e *engine) covers(d *draft, w *grammar.Waive, names []string, prefix string) bool {
	to := ""
	if w.Subject.To.First.Text != "" {
		to = " to " + prefix + w.Subject.To.First.Text
	}
	for _, n := range names {
		want := prefix + n + to
		if d.full == want || d.Subject == want || strings.HasSuffix(d.local, "."+want) && prefix == "" {
			return true
		}
		for _, c := range d.Copies {
			if c == want && len(d.Copies) == 1 {
				return true
			}
		}
		// a waiver may name a run by its ends where the finding names its tag
		if to != "" {
			for _, r := range e.sys.Between(prefix+n, prefix+w.Subject.To.First.Text) {
				if r.Subject() == d.full {
					return true
				}
			}
		}
	}
	return false
}

// note adds a drafting finding of the engine's own.
func (e *engine) note(name string, rec *system.Record, loc system.Loc, subject, msg, remedy string) {
	r := e.rules[name]
	if r == nil {
		return
	}
	d := draft{copy: nil, full: subject, local: subject}
	d.Finding = Finding{Rule: name, Severity: e.severity(r), Message: msg, Place: e.place(loc), Subject: subject, Basis: "plan", Remedy: remedy, Copies: []string{}}
	c := e.Verdicts[name]
	c.Undecided++
	e.Verdicts[name] = c
	e.told(&d, Caution)
	e.drafts = append(e.drafts, d)
}
