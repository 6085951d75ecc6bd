package answer

import (
	"crownweir/grammar"
	"crownweir/grammar/catalog"
	"crownweir/grammar/system"
)

// record offers what follows in notes and field work.
func (k *cursor) record(keyword string, words []token) {
	prev := last(words, 0)
	switch keyword {
	case "note":
		switch {
		case prev == "on":
			k.subjects()
		case len(words) > 1 && words[1].kind == tokText:
			k.words("keyword", []string{"on"}, words)
		}
	case "inspection":
		switch {
		case len(words) == 1:
			k.words("choice", []string{"underground", "rough-in", "final"}, nil)
		case len(words) == 2:
			k.words("keyword", []string{"on"}, nil)
		}
	case "test":
		k.test(words)
	case "found":
		k.found(words)
	case "waive":
		k.waive(words)
	}
}

func (k *cursor) test(words []token) {
	switch prev := last(words, 0); {
	case len(words) == 1:
		k.words("choice", []string{"drainage", "vents", "sewer", "supply"}, nil)
	case len(words) == 2:
		k.words("choice", []string{"water", "air"}, nil)
	case prev == "on":
		k.dates()
	case prev == "for" || len(words) == 3:
	default:
		k.words("keyword", []string{"for", "on"}, words)
		if !written(words, "held") && !written(words, "lost") {
			k.words("choice", []string{"held", "lost"}, nil)
		}
	}
}

func (k *cursor) found(words []token) {
	prev := last(words, 0)
	switch {
	case len(words) == 1:
		k.subjects()
		k.words("keyword", catalog.Systems(), nil)
		return
	case isRun(words[1].text) && len(words) < 5:
		k.subjectEnds(words[1:])
		return
	case prev == "on":
		k.dates()
		return
	case prev == "with" || prev == "without":
		k.words("choice", append(append(catalog.Fittings(), catalog.Turns()...), catalog.Devices()...), nil)
		return
	}
	k.words("keyword", []string{"with", "without", "on"}, words)
	var fx *catalog.Fixture
	if q := k.pointOf(words[1].text); q != nil && q.Kind == system.Fixture {
		fx = &q.Fixture
	}
	k.attrs("found", words[2:], fx)
}

// subjectEnds offers the ends of a run that a record names.
func (k *cursor) subjectEnds(words []token) {
	switch len(words) {
	case 1, 3:
		k.points("", nil)
	case 2:
		k.words("keyword", []string{"to"}, nil)
	}
}

// subjects offers points and tags.
func (k *cursor) subjects() {
	k.symbols(tags, "name")
	k.points("", nil)
}

func (k *cursor) dates() {
	i := 0
	for _, s := range k.file.all() {
		if in, ok := s.Statement.(*grammar.Inspection); ok && in.On.Text != "" {
			k.add(i, Item{Label: in.On.Text, Kind: "choice", Detail: "inspection " + in.Stage.Text})
		}
		i++
	}
}

// waive offers the rules that found something, with what they found, then all.
func (k *cursor) waive(words []token) {
	prev := last(words, 0)
	switch {
	case len(words) == 1:
		k.rules()
	case len(words) == 2:
		k.words("keyword", []string{"on"}, nil)
	case prev == "on" && len(words) == 3:
		k.waivable(words[1].text)
		k.subjects()
	case prev == "because" || prev == "approved":
	case prev == "until":
	default:
		k.words("keyword", []string{"because", "approved", "until"}, words)
	}
}

func (k *cursor) rules() {
	seen := map[string]int{}
	if k.Report != nil {
		for i := range k.Report.Findings {
			f := &k.Report.Findings[i]
			if f.Waived != nil || k.line.typical == nil && f.Rule == "idle-waiver" {
				continue
			}
			if seen[f.Rule]++; seen[f.Rule] == 1 {
				k.add(i, Item{Label: f.Rule, Kind: "rule", Detail: "found at " + f.Subject, Doc: k.pageOf(f.Rule)})
			}
		}
	}
	for _, name := range others(catalogue(), nil) {
		k.add(500, Item{Label: name, Kind: "rule", Detail: lower(catalogue()[name].Title)})
	}
}

// waivable offers the subjects at which a rule found something.
func (k *cursor) waivable(rule string) {
	if k.Report == nil {
		return
	}
	for i := range k.Report.Findings {
		f := &k.Report.Findings[i]
		if f.Rule == rule && f.Waived == nil {
			k.add(i, Item{Label: k.subjectOf(f), Kind: "name", Detail: f.Message})
		}
	}
}
