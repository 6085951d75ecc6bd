package lsp

import (
	"fmt"
	"runtime"
	"sort"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// terrace is a plan of about n lines: bathrooms side by side, each with its
// own vent, on one building drain.
func terrace(n int) string {
	lines := []string{`plan "Terrace at Lodestar Row"`, `code upc-2021`, `scope drainage vents`, `default drain abs`, `default fall 1/4`,
		`level ground at 0'`, `roof at 12'`, `outfall SEW at -9000'`, `drain b0 to b1 12": cleanout, east 4'`}
	i := 1
	for ; len(lines) < n-1; i++ {
		for _, f := range []string{
			`room bath%[1]d on ground`, `fixture WC%[1]d water-closet in bath%[1]d side 16" front 25"`, `fixture LV%[1]d lavatory in bath%[1]d`,
			`fixture TB%[1]d bathtub in bath%[1]d`, `terminal V%[1]d roof rise 12" opening 12'`,
			`drain LV%[1]d to p%[1]d 1-1/2": trap, south 2'6"`, `vent p%[1]d to v%[1]d 2": up to 44"`, `vent v%[1]d to V%[1]d 3": up to roof`,
			`drain p%[1]d to q%[1]d 2": down to q%[1]d`, `drain WC%[1]d to q%[1]d 3": down 8", north 1'6"`,
			`drain TB%[1]d to t%[1]d 1-1/2": down 6", trap, west 3'`, `vent t%[1]d to v%[1]d 1-1/2" as VT-%[1]d: up to 44", east 3'`,
			`drain t%[1]d to s%[1]d 2": down to suit, cleanout, east 4'`, `drain q%[1]d to s%[1]d 3": down to -2', cleanout, south 6'`,
			`drain s%[1]d to b%[1]d 4" as D-%[1]d: down to suit`, `drain b%[1]d to b%[2]d 12": east 4'`,
		} {
			lines = append(lines, strings.NewReplacer("%[1]d", fmt.Sprint(i), "%[2]d", fmt.Sprint(i+1)).Replace(f))
		}
	}
	return strings.Join(append(lines, fmt.Sprintf(`sewer b%d to SEW 12": cleanout, east 30'`, i)), "\n") + "\n"
}

// middle is the line of a drain in the middle of a terrace, and where in it
// the length of its leg begins.
func middle(source string) (line, at int) {
	lines := strings.Split(source, "\n")
	for i := len(lines) / 2; ; i++ {
		if at := strings.Index(lines[i], "south 2'6"); at >= 0 {
			return i, at + len("south ")
		}
	}
}

// percentile is the value that a share of measurements lies below.
func percentile(times []time.Duration, share float64) time.Duration {
	sort.Slice(times, func(i, j int) bool { return times[i] < times[j] })
	return times[min(int(float64(len(times))*share), len(times)-1)]
}

// reportPercentiles tells what b.N runs took, one by one.
func reportPercentiles(b *testing.B, times []time.Duration) {
	b.ReportMetric(float64(percentile(times, 0.5).Microseconds())/1000, "ms/p50")
	b.ReportMetric(float64(percentile(times, 0.99).Microseconds())/1000, "ms/p99")
}

// BenchmarkItem35Keystroke types a digit into a length in the middle of a plan and
// waits for its findings, over the wire, without the pause for typing.
//
// History, two cores, GOGC=400, p50 and p99 in ms:
//
//	2026-11-25  150 lines 0.8/2.7, 2,000 lines 8.4/21.5, 50,000 lines 501/754. All
//	            but a hundredth of it is lint.Check: reading 9 %, building 22 %,
//	            judging 57 %, and the sweeping of what that made.
//	2026-11-25  150 lines 0.5/1.8, 2,000 lines 3.8/9.6, 50,000 lines 182/279. Rules
//	            run side by side, what complies is kept by its name alone, pipes
//	            are laid as they lie in memory.
func BenchmarkItem35Keystroke(b *testing.B) {
	for _, lines := range []int{150, 2_000, 50_000} {
		b.Run(fmt.Sprint(lines), func(b *testing.B) {
			p := serve(b, Options{})
			p.hello(allAbilities)
			source := terrace(lines)
			p.open(house, 1, source)
			p.published(house, 1)
			line, at := middle(source)
			var times []time.Duration
			version := 1
			for b.Loop() {
				version++
				change := edit(line, at, at, "1")
				if version%2 == 1 {
					change = edit(line, at, at+1, "")
				}
				p.forget()
				began := time.Now()
				p.change(house, version, change)
				p.published(house, version)
				times = append(times, time.Since(began))
			}
			reportPercentiles(b, times)
		})
	}
}

// BenchmarkItem35TextFirst types a letter into a keyword in the middle of a plan
// whose check takes long, and takes it away again: how soon the line that
// cannot be read is told of.
func BenchmarkItem35TextFirst(b *testing.B) {
	p := serve(b, Options{})
	p.hello(allAbilities)
	source := terrace(50_000)
	p.open(house, 1, source)
	p.published(house, 1)
	line, _ := middle(source)
	var times []time.Duration
	version := 1
	for b.Loop() {
		p.forget()
		began := time.Now()
		p.change(house, version+1, edit(line, 1, 1, "x"))
		p.last("the line", house, func(got testPublished) bool { return len(got.Diagnostics) > 0 })
		times = append(times, time.Since(began))
		p.change(house, version+2, edit(line, 1, 2, ""))
		version += 2
		p.published(house, version)
	}
	reportPercentiles(b, times)
}

// forget drops what was heard, so that a long run does not look through it.
func (p *peer) forget() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.messages = nil
	clear(p.answers)
}

// BenchmarkItem35Answers asks at rest, and right after a keystroke.
//
// History, 50,000 lines, two busy cores, GOGC=400, ms at p50:
//
//	2026-11-25  at rest: completion 19, all tokens 227, outline 172; right after
//	            a keystroke: hover 6.3, completion 183, hints 523, signature 63.
//	2026-11-25  at rest: completion 1.0, all tokens 110, outline 91, of which the
//	            client of the benchmark reads half; right after a keystroke:
//	            hover 0.1, completion 0.9, hints 0.1, signature 0.05. At p99
//	            those wait 20 to 35 for the check that runs on both cores.
func BenchmarkItem35Answers(b *testing.B) {
	for _, lines := range []int{2_000, 50_000} {
		source := terrace(lines)
		line, _ := middle(source)
		screen := object{"start": object{"line": line - 30, "character": 0}, "end": object{"line": line + 30, "character": 0}}
		for _, method := range []string{
			"textDocument/hover", "textDocument/completion", "textDocument/inlayHint", "textDocument/definition", "textDocument/documentHighlight",
			"textDocument/signatureHelp", "textDocument/codeAction",
			"textDocument/semanticTokens/range", "textDocument/semanticTokens/full", "textDocument/documentSymbol", "textDocument/codeLens",
			"textDocument/foldingRange", "textDocument/references", "textDocument/formatting",
		} {
			for _, typing := range []bool{false, true} {
				name := fmt.Sprintf("%d/%s", lines, strings.TrimPrefix(method, "textDocument/"))
				if typing {
					name += "/typing"
				}
				b.Run(name, func(b *testing.B) {
					p := serve(b, Options{Pause: time.Millisecond, Glance: Glance})
					p.hello(fullClient)
					p.open(house, 1, source)
					p.published(house, 1)
					ask := everyParams(house)
					ask["position"], ask["range"] = object{"line": line, "character": 8}, screen
					var times []time.Duration
					version := 1
					p.reply(p.start(method, ask)) // what is looked up once
					for b.Loop() {
						p.forget()
						if typing {
							version++
							p.change(house, version, edit(line+5, 0, 0, "#"))
						}
						began := time.Now()
						p.reply(p.start(method, ask))
						times = append(times, time.Since(began))
					}
					reportPercentiles(b, times)
				})
			}
		}
	}
}

// BenchmarkItem34Initialize is a session's first answer.
func BenchmarkItem34Initialize(b *testing.B) {
	for b.Loop() {
		p := serve(b, Options{})
		p.hello(allAbilities)
	}
}

// BenchmarkItem34Open is the first findings of a plan.
func BenchmarkItem34Open(b *testing.B) {
	for _, lines := range []int{1_000, 50_000} {
		b.Run(fmt.Sprint(lines), func(b *testing.B) {
			source := terrace(lines)
			for b.Loop() {
				p := serve(b, Options{})
				p.hello(allAbilities)
				p.open(house, 1, source)
				p.published(house, 1)
			}
		})
	}
}

// While a long check runs, answers come of the one before it, and no more than
// one check of a document waits.
func TestItem35OldChecksGiveWay(t *testing.T) {
	var running, most, begun counter
	hold := make(chan struct{})
	p := serve(t, Options{Check: held(hold, &running, &most, &begun)})
	p.hello(allAbilities)
	p.open(house, 1, demo(t))
	hold <- struct{}{}
	p.published(house, 1)
	for v := 2; v <= 50; v++ {
		p.change(house, v, edit(0, 0, 0, "#"))
	}
	var hover struct{ Contents struct{ Value string } }
	p.ask("textDocument/hover", object{"textDocument": object{"uri": house}, "position": object{"line": 28, "character": 12}}, &hover)
	assert.NotEmpty(t, hover.Contents.Value, "answered while the check is held")
	close(hold)
	p.published(house, 50)
	assert.Equal(t, 1, most.value(), "one at a time")
	assert.Less(t, begun.value(), 50, "those that were typed over are dropped")
}

// Nothing grows with use.
func TestItem36Memory(t *testing.T) {
	edits, cycles := 10_000, 1_000
	if testing.Short() {
		edits, cycles = 1_000, 100
	}
	p := serve(t, Options{})
	p.hello(allAbilities)
	const rounds = 3
	measure := func() (int64, int) {
		p.forget()
		var m runtime.MemStats
		for range 3 {
			runtime.GC()
			time.Sleep(20 * time.Millisecond)
		}
		runtime.ReadMemStats(&m)
		return int64(m.HeapAlloc), runtime.NumGoroutine()
	}
	run := func() {
		p.open(house, 1, demo(t))
		for v := 2; v <= edits/rounds; v++ {
			if v%2 == 0 {
				p.change(house, v, edit(0, 0, 0, "x"))
			} else {
				p.change(house, v, edit(0, 0, 1, ""))
			}
			if v%500 == 0 {
				p.published(house, v)
				p.forget()
			}
		}
		p.shut(house)
		for i := range cycles / rounds {
			uri := fmt.Sprintf("file:///nowhere/%d.weir", i)
			p.open(uri, 1, demo(t))
			p.ask("textDocument/hover", object{"textDocument": object{"uri": uri}, "position": object{"line": 28, "character": 12}}, nil)
			p.shut(uri)
			p.forget()
		}
		p.ask("textDocument/hover", everyParams(house), nil)
	}
	run()
	heap, goroutines := measure()
	for range rounds - 1 {
		run()
	}
	heap2, goroutines2 := measure()
	assert.Less(t, heap2-heap, int64(20<<20))
	assert.LessOrEqual(t, goroutines2, goroutines+3)
}
