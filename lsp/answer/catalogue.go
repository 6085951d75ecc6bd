package answer

import (
	"strings"
	"sync"

	"crownweir/lint"
)

// catalogue is the rules by name. It is built once and never written to again.
var catalogue = sync.OnceValue(func() map[string]lint.RuleInfo {
	out := map[string]lint.RuleInfo{}
	for _, r := range lint.Rules() {
		out[r.Name] = r
	}
	return out
})

// pageOf explains a rule in the plan's own code book: what it is, why, where
// it stands, how it is computed. "" for what is no rule.
func (p *Plan) pageOf(name string) string {
	r, ok := catalogue()[name]
	if !ok {
		return ""
	}
	var b text
	b.line("**%s**: %s", r.Name, lower(r.Title))
	if r.Retired != "" {
		b.line("retired: `%s` follows it", r.Retired)
	}
	b.para("%s", r.Why)
	b.para("%s", r.Computed)
	where := "asked by no code book"
	if p.Report != nil && p.Report.Case != nil {
		book := p.Report.Case.Book
		section, has := book.Section(name)
		switch {
		case !has:
			where = "not in " + book.Title
		case section != "":
			where = book.Title + " " + section
		}
	}
	b.para("%s; %s", where, severityWords(r.Severity))
	if p.Report != nil {
		if n := p.Report.Verdicts[name]; n.Complies+n.Breaks+n.Undecided > 0 {
			b.para("in this plan: %d comply, %d break, %d undecided", n.Complies, n.Breaks, n.Undecided)
		}
	}
	if bad := strings.TrimSpace(r.Bad); bad != "" && strings.Count(bad, "\n") < 14 {
		b.para("breaks it:\n```weir\n%s\n```", bad)
	}
	return b.String()
}

func severityWords(s lint.Severity) string {
	switch s {
	case lint.Correction:
		return "a correction: it breaks the adopted code"
	case lint.Caution:
		return "a caution: it cannot be proved from the plan, or needs judgement"
	}
	return "advice: good practice"
}
