package answer

import (
	"strings"

	"crownweir/grammar"
)

// subject gives what a found, waive or note line names: points, a tag, a run
// by its ends. A waiver may also name what stands in a typical, as findings
// do: `flat.KS to k1`.
func (w *walker) subject(s grammar.Subject) {
	w.give(roleChoice, s.System)
	if sp, ok := w.subjectSpace(s); ok {
		w.name(sp, "", s.From.First, false)
		return
	}
	inner := *w
	if head, _, dotted := strings.Cut(s.From.First.Text, "."); dotted && w.typicalOf(symbol{points, w.scope, head}) == "" {
		if _, ok := w.typicals[head]; ok {
			span := s.From.First.Span
			w.name(typicals, "", grammar.Word{Text: head, Span: grammar.Span{Start: span.Start, End: span.Start + len(head)}}, false)
			inner.scope, inner.base, inner.lead = head, head, ""
			s.From.First.Text = s.From.First.Text[len(head)+1:]
			s.From.First.Span.Start += len(head) + 1
		}
	}
	if s.To.First.Text == "" && !s.From.IsRange() && inner.tag(s.From.First) {
		return
	}
	inner.ref(s.From, false)
	inner.ref(s.To, false)
}

// tag gives a name that reaches a tag; false where it reaches none.
func (w *walker) tag(word grammar.Word) bool {
	scope := w.scope
	steps := strings.Split(word.Text, ".")
	for _, step := range steps[:len(steps)-1] {
		if scope = w.typicalOf(symbol{points, scope, step}); scope == "" {
			return false
		}
	}
	last := steps[len(steps)-1]
	if _, ok := w.line(symbol{tags, scope, last}); !ok || word.Span.End-word.Span.Start != len(word.Text) {
		return false
	}
	at := word.Span.End - len(last)
	if at > word.Span.Start {
		w.point(grammar.Word{Text: word.Text[:len(word.Text)-len(last)-1], Span: grammar.Span{Start: word.Span.Start, End: at - 1}}, false)
	}
	w.emit(part{role: roleName, span: grammar.Span{Start: at, End: word.Span.End}, text: last,
		sym: symbol{tags, scope, last}, base: w.base, path: w.lead + word.Text})
	return true
}

// subjectSpace is the space of a waiver's subject that is a dwelling or a
// building, as rules of whole buildings name them.
func (w *walker) subjectSpace(s grammar.Subject) (space, bool) {
	if s.To.First.Text != "" || s.From.IsRange() {
		return 0, false
	}
	if _, point := w.declaration(symbol{points, w.scope, s.From.First.Text}); point {
		return 0, false
	}
	for _, sp := range []space{dwellings, buildings, rooms} {
		if _, ok := w.line(symbol{sp, "", s.From.First.Text}); ok {
			return sp, true
		}
	}
	return 0, false
}

func (w *walker) record(s grammar.Statement) {
	switch st := s.(type) {
	case *grammar.Found:
		w.subject(st.Subject)
		w.give(roleChoice, st.With)
		w.give(roleChoice, st.Without)
		w.attrs(st.Attrs)
		w.give(roleDate, st.On)
	case *grammar.Waive:
		w.give(roleRule, st.Rule)
		w.subject(st.Subject)
		w.give(roleText, st.Because)
		w.give(roleText, st.Approved)
		w.give(roleDate, st.Until)
	case *grammar.Inspection:
		w.give(roleChoice, st.Stage)
		w.give(roleDate, st.On)
	case *grammar.Test:
		w.give(roleChoice, st.System)
		w.give(roleChoice, st.Medium)
		w.qty(st.Head)
		w.qty(st.Duration)
		w.give(roleChoice, st.Result)
		w.give(roleDate, st.On)
	case *grammar.Note:
		w.give(roleText, st.Text)
		w.subject(grammar.Subject{From: st.On})
	}
}

func (w *walker) header(s grammar.Statement) {
	switch st := s.(type) {
	case *grammar.Plan:
		w.give(roleText, st.Title)
	case *grammar.Code:
		w.give(roleBook, st.Book)
		for _, a := range st.Amended {
			w.give(roleText, a)
		}
	case *grammar.Occupancy:
		w.give(roleChoice, st.Use)
	case *grammar.Scope:
		for _, sys := range st.Systems {
			w.give(roleChoice, sys)
		}
	case *grammar.Default:
		w.give(roleChoice, st.What)
		w.give(roleMaterial, st.Material)
		w.qty(st.Fall)
	case *grammar.Method:
		w.give(roleChoice, st.Name)
	case *grammar.Climate:
		w.qty(st.Winter)
	case *grammar.Include:
		w.give(roleText, st.Path)
	case *grammar.Dwelling:
		w.name(dwellings, w.scope, st.Name, true)
		w.attrs(st.Attrs)
	case *grammar.Building:
		w.name(buildings, "", st.Name, true)
	case *grammar.Level:
		w.name(levels, "", st.Name.First, true)
		w.name(levels, "", st.Name.Last, true)
		w.height(st.At)
		w.qty(st.Every)
		w.name(buildings, "", st.Building, false)
	case *grammar.Roof:
		w.name(roofs, "", st.Name, true)
		w.height(st.At)
		w.name(buildings, "", st.Building, false)
	case *grammar.Room:
		w.name(rooms, w.scope, st.Name, true)
		w.name(levels, "", st.On, false)
		w.give(roleChoice, st.Use)
		w.name(dwellings, "", st.Dwelling, false)
		w.give(roleChoice, st.Access)
		w.qty(st.Ceiling)
	}
}
