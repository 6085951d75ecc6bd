package lint

import "crownweir/lint/rule"

// Judgements are all answers, those that comply too; their counts by rule and
// answer are the verdicts. The list is made for the caller.
func (r *Report) Judgements() []Judgement {
	out := append([]Judgement(nil), r.noted[:r.before]...)
	if r.Case != nil {
		for j := range r.Case.Judgements() {
			out = append(out, r.judgement(j))
		}
	}
	return append(out, r.noted[r.before:]...)
}

// judgement is a rule's judgement as the report hands it out.
func (r *Report) judgement(j *rule.Judgement) Judgement {
	out := Judgement{Rule: j.Rule.Name, Subject: j.Subject, Count: 1, Message: j.Message, Section: j.Section, Missing: j.Missing, Fact: j.Fact,
		Answer: [...]Answer{rule.Complies: Complies, rule.Breaks: Breaks, rule.Undecided: Undecided}[j.Answer]}
	if out.Section == "" {
		out.Section, _ = r.book.Section(j.Rule.Name)
	}
	if j.Asked && out.Missing == "" {
		out.Missing = "written as unknown"
	}
	if j.Measured != nil {
		out.Measured = &Measure{Value: tidy(j.Measured.Value), Unit: j.Measured.Unit}
	}
	if j.Limit != nil {
		out.Limit = &Measure{Value: tidy(j.Limit.Value), Unit: j.Limit.Unit, Kind: j.Limit.Kind}
	}
	return out
}

// told notes the judgement behind a finding that no rule of the case made.
func (e *engine) told(d *draft, severity Severity) {
	j := Judgement{Rule: d.Rule, Subject: d.full, Count: 1, Answer: Undecided, Message: d.Message, Measured: d.Measured, Limit: d.Limit, Missing: d.fact, Fact: d.fact}
	if severity == Correction {
		j.Answer = Breaks
	}
	e.noted = append(e.noted, j)
}

// drawn notes what the rules of the drawing looked at and found well; they
// count their subjects and do not name them.
func (e *engine) drawn() {
	for _, name := range sortedKeys(e.sys.Looked) {
		if n := e.Verdicts[name].Complies; n > 0 && e.rules[name] != nil {
			e.noted = append(e.noted, Judgement{Rule: name, Count: n, Answer: Complies})
		}
	}
}
