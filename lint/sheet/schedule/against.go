package schedule

import (
	"fmt"
	"sort"

	"crownweir/grammar/system"
	"crownweir/lint"
	"crownweir/lint/sheet/closing"
)

// asked is one requirement: a rule and its subject, by the line that a pipe
// belongs to, since each book may break at another run of it.
type asked struct{ rule, subject string }

// Against lays out where two code books answer differently on one plan: a and
// b are its reports under each. ok is false where either was not judged.
func Against(plan string, a, b *lint.Report) (s Sheet, ok bool) {
	if a.Case == nil || b.Case == nil {
		return s, false
	}
	left, right := answers(a), answers(b)
	t := Table{Name: "differences", Columns: []Column{{Name: "rule"}, {Name: "subject"}}}
	for _, r := range []*lint.Report{a, b} {
		t.Columns = append(t.Columns, Column{Name: r.Book.Name})
		for _, what := range []string{"measured", "limit", "unit", "section", "reason"} {
			t.Columns = append(t.Columns, Column{Name: r.Book.Name + " " + what})
		}
	}
	var order []asked
	for k := range left {
		order = append(order, k)
	}
	for k := range right {
		if _, both := left[k]; !both {
			order = append(order, k)
		}
	}
	rank := map[string]int{}
	for i, rule := range lint.Rules() {
		rank[rule.Name] = i
	}
	sort.Slice(order, func(i, j int) bool {
		if order[i].rule != order[j].rule {
			return rank[order[i].rule] < rank[order[j].rule]
		}
		return order[i].subject < order[j].subject
	})
	alike, lone := 0, 0
	for _, k := range order {
		l, inLeft := left[k]
		r, inRight := right[k]
		switch {
		case inLeft && inRight && l.Answer == r.Answer:
			alike++
			continue
		case !inLeft && r.Answer == lint.Complies, !inRight && l.Answer == lint.Complies:
			lone++
			continue
		}
		subject := l.Subject
		if !inLeft || r.Answer == lint.Breaks {
			subject = r.Subject
		}
		row := []Cell{words(k.rule), words(subject)}
		row = append(row, side(l, inLeft)...)
		t.add(append(row, side(r, inRight)...)...)
	}
	t.Notes = []string{
		fmt.Sprintf("%d %s answered alike; %d %s asked by one book alone and %s", alike, are(alike), lone, are(lone), comply(lone)),
	}
	if len(t.Rows) == 0 {
		t.Notes = append(t.Notes, "the two books agree on this plan")
	}
	books := []lint.BookUse{a.Book, b.Book}
	s = Sheet{Kind: "differences", Plan: plan, Title: a.System.Header.Title, Tables: []Table{t}, Books: books}
	for _, r := range []*lint.Report{a, b} {
		s.Closing = append(s.Closing, r.Book.Name+": "+closing.JudgedLine(closing.Sum(r.Verdicts)))
	}
	s.Closing = append(s.Closing, closing.OutsideLine(), closing.BookLine(a.Book), closing.BookLine(b.Book), closing.Caution)
	return s, true
}

func are(n int) string {
	if n == 1 {
		return "requirement is"
	}
	return "requirements are"
}

func comply(n int) string {
	if n == 1 {
		return "complies"
	}
	return "comply"
}

// answers are the judgements of a report by requirement, the worst of each.
// missing-fact repeats what other rules say they wait for, and is left out.
func answers(r *lint.Report) map[asked]lint.Judgement {
	lines := lineOf(r.System)
	out := map[asked]lint.Judgement{}
	for _, j := range r.Judgements() {
		if j.Rule == "missing-fact" || j.Subject == "" {
			continue
		}
		k := asked{j.Rule, j.Subject}
		if line, ok := lines[j.Subject]; ok {
			k.subject = line
		}
		if old, seen := out[k]; !seen || weight(j.Answer) > weight(old.Answer) {
			out[k] = j
		}
	}
	return out
}

func weight(a lint.Answer) int {
	return map[lint.Answer]int{lint.Complies: 0, lint.Undecided: 1, lint.Breaks: 2}[a]
}

// lineOf names for every run the line that findings treat it as part of.
func lineOf(sys *system.System) map[string]string {
	out := map[string]string{}
	for _, l := range sys.Lines {
		for _, r := range l.Runs {
			out[r.Subject()] = l.Subject()
		}
	}
	return out
}

// side is one book's half of a row.
func side(j lint.Judgement, ok bool) []Cell {
	if !ok {
		return append([]Cell{words("not asked")}, make([]Cell, 5)...)
	}
	reason := j.Message
	if j.Missing != "" {
		reason = "waits for the " + j.Missing
	}
	m := measureCells(j)
	limit := m[1]
	if m[2].Text != "" {
		limit.Text = m[2].Text + " " + limit.Text
	}
	return []Cell{words(string(j.Answer)), m[0], limit, m[3], words(j.Section), words(reason)}
}
