package answer

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"crownweir/grammar"
)

// longPlan is a plan of about so many lines: bathrooms one beside the other on
// one drain.
func longPlan(lines int) string {
	var b strings.Builder
	b.WriteString("plan \"long\"\ncode upc-2021\ndefault drain cast-iron\ndefault fall 1/4\ndefault water copper-l\nlevel ground at 0'\nroof at 20'\nroom bath on ground\noutfall SEW at -40'\nmain M at -3' 60psi\nservice M to c0 3\": north 10'\n")
	n := lines / 10
	for i := range n {
		fmt.Fprintf(&b, "fixture WC%d water-closet in bath\nfixture LV%d lavatory in bath\nterminal V%d roof rise 12\" opening 12'\n", i, i, i)
		fmt.Fprintf(&b, "drain LV%d to p%d 1-1/2\": trap, south 2'\nvent p%d to V%d 2\": up to roof\ndrain p%d to q%d 2\": down to q%d\n", i, i, i, i, i, i, i)
		fmt.Fprintf(&b, "drain WC%d to q%d 3\": down 8\", north 2'\ndrain q%d to b%d 4\": down to suit\ncold c%d to WC%d 1/2\": east 3', up to suit\n", i, i, i, i, i, i)
		fmt.Fprintf(&b, "drain b%d to b%d 12\": east 4'\ncold c%d to c%d 3\": east 4'\n", i, i+1, i, i+1)
	}
	fmt.Fprintf(&b, "sewer b%d to SEW 12\": cleanout, east 20'\n", n)
	return b.String()
}

// At 2,000 lines on two cores: hovers and a page of hints under 0.05 ms, names
// completed 1.9 ms at first and 0.5 since the names of a scope are sorted once;
// at 50,000 42 ms, and 0.3 since they are ranked once and only those handed out
// are made;
// the index 6.7 ms and 0.4 since mentions and lists of the ledger wait until
// they are asked for, all tokens 7.0 and 3.8 without a map a statement.
func BenchmarkAnswers(b *testing.B) {
	for _, lines := range []int{2000, 50000} {
		p := planIn(longPlan(lines))
		f := p.file("plan.weir")
		middle := strings.Index(f.source[len(f.source)/2:], "\ndrain q") + len(f.source)/2 + 1
		size := middle + strings.Index(f.source[middle:], `4"`)
		ask := map[string]func(p *Plan){
			"hover size":  func(p *Plan) { Hover(p, "plan.weir", size) },
			"hover point": func(p *Plan) { Hover(p, "plan.weir", middle+6) },
			"hover trap": func(p *Plan) {
				Hover(p, "plan.weir", strings.LastIndex(f.source[:middle], "trap"))
			},
			"complete name": func(p *Plan) { Complete(p, "plan.weir", middle+6) },
			"complete size": func(p *Plan) { Complete(p, "plan.weir", size) },
			"complete line": func(p *Plan) { Complete(p, "plan.weir", middle) },
			"references":    func(p *Plan) { References(p, "plan.weir", middle+6, true) },
			"rename":        func(p *Plan) { Rename(p, "plan.weir", middle+6, "zq9") },
			"hints page":    func(p *Plan) { Hints(p, "plan.weir", grammar.Span{Start: middle, End: middle + 3000}) },
			"tokens page":   func(p *Plan) { SemanticTokens(p, "plan.weir", grammar.Span{Start: middle, End: middle + 3000}) },
			"tokens":        func(p *Plan) { SemanticTokens(p, "plan.weir", grammar.Span{}) },
			"symbols":       func(p *Plan) { Symbols(p, "plan.weir") },
			"workspace":     func(p *Plan) { WorkspaceSymbols(p, "WC1") },
			"lenses":        func(p *Plan) { Lenses(p, "plan.weir") },
			"folds":         func(p *Plan) { Folds(p, "plan.weir") },
			"selection":     func(p *Plan) { Selection(p, "plan.weir", size) },
			"signature":     func(p *Plan) { SignatureAt(p, "plan.weir", size) },
		}
		for _, name := range []string{"hover size", "hover point", "hover trap", "complete name", "complete size", "complete line", "references", "rename", "hints page", "tokens page", "tokens", "symbols", "workspace", "lenses", "folds", "selection", "signature"} {
			b.Run(fmt.Sprintf("%s/%d", name, lines), func(b *testing.B) {
				ask[name](p)
				for b.Loop() {
					ask[name](p)
				}
			})
		}
		b.Run(fmt.Sprintf("index/%d", lines), func(b *testing.B) {
			for b.Loop() {
				q := &Plan{Path: p.Path, Report: p.Report, Sources: p.Sources}
				q.look()
				_, _, unlock := q.lock()
				unlock()
			}
		})
	}
}

// A run sized by trying, in a house and in one as large as is tried.
func BenchmarkSizeByTrial(b *testing.B) {
	for _, name := range []string{"../../testdata/demo/juniper-court.weir", "../../testdata/scenarios/s01-quillfeather.weir"} {
		b.Run(filepath.Base(name), func(b *testing.B) {
			p := trying(planOf(b, filepath.Dir(name), filepath.Base(name)))
			f := p.file(p.Path)
			i := slices.IndexFunc(f.stmts, func(s placed) bool { return s.Keyword() == "drain" })
			for b.Loop() {
				q := &Plan{Path: p.Path, Report: p.Report, Sources: p.Sources, Try: p.Try}
				Actions(q, p.Path, grammar.Span{Start: f.stmts[i].Pos().Start, End: f.stmts[i].Pos().Start}, false)
			}
		})
	}
}
