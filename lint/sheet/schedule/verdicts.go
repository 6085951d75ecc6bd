package schedule

import (
	"sort"

	"crownweir/lint"
)

// verdicts lists every answer of every rule.
func verdicts(r *lint.Report) []Table {
	t := Table{Name: "verdicts", Columns: []Column{
		{Name: "rule"}, {Name: "subject"}, {Name: "answer"}, {Name: "measured"}, {Name: "limit"}, {Name: "limit is"}, {Name: "unit"},
		{Name: "missing"}, {Name: "section"}, {Name: "count"}, {Name: "reason"},
	}}
	rank := map[string]int{}
	for i, rule := range lint.Rules() {
		rank[rule.Name] = i
	}
	all := r.Judgements()
	sort.SliceStable(all, func(i, j int) bool { return rank[all[i].Rule] < rank[all[j].Rule] })
	for _, j := range all {
		subject := words(j.Subject)
		if j.Subject == "" && j.Count > 1 {
			subject = words("(several)")
		}
		t.add(append([]Cell{words(j.Rule), subject, words(string(j.Answer))}, append(measureCells(j),
			words(j.Missing), words(j.Section), count(j.Count), words(j.Message))...)...)
	}
	t.Notes = []string{"rules of the drawing count the subjects that comply and do not name them"}
	return []Table{t}
}

// measureCells are what was measured, the limit, which way it binds and the
// unit of both.
func measureCells(j lint.Judgement) []Cell {
	out := make([]Cell, 4)
	if j.Measured != nil {
		out[0], out[3] = plain(j.Measured.Value), words(j.Measured.Unit)
	}
	if j.Limit != nil {
		out[1], out[3] = plain(j.Limit.Value), words(j.Limit.Unit)
		switch j.Limit.Kind {
		case "max":
			out[2] = words("most")
		case "min":
			out[2] = words("least")
		}
	}
	return out
}
