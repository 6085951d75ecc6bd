package lsp

import (
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar"
	"crownweir/lint"
)

// last waits until the latest publish for a document satisfies.
func (p *peer) last(what, uri string, so func(testPublished) bool) testPublished {
	p.t.Helper()
	var got testPublished
	p.wait(what, func() bool {
		all := p.publishesLocked(uri)
		if len(all) == 0 || !so(all[len(all)-1]) {
			return false
		}
		got = all[len(all)-1]
		return true
	})
	return got
}

func TestItem27NeverStale(t *testing.T) {
	for _, pause := range []time.Duration{0, 20 * time.Millisecond} {
		p := serve(t, Options{Pause: pause})
		p.hello(allAbilities)
		p.open(house, 1, demo(t))
		const edits = 2000
		for v := 2; v <= edits; v++ {
			switch { // a word is typed, letter by letter, and taken away again
			case v%20 < 10:
				p.change(house, v, edit(0, 0, 0, "x"))
			default:
				p.change(house, v, edit(0, 0, 1, ""))
			}
		}
		p.change(house, edits+1, whole("plan \"x\"\n"))
		assert.Empty(t, p.published(house, edits+1).Diagnostics)
		all := p.publishes(house)
		for i := 1; i < len(all); i++ {
			assert.Less(t, *all[i-1].Version, *all[i].Version, "in order")
		}
		assert.Empty(t, all[len(all)-1].Diagnostics)
	}
}

func TestItem21Versions(t *testing.T) {
	p := serve(t, Options{})
	p.hello(allAbilities)
	p.notify("textDocument/didOpen", object{"textDocument": object{"uri": house, "languageId": "weir", "version": nil, "text": "plan \"x\"\n"}})
	p.published(house, 0)
	p.change(house, 6, whole(demo(t)))
	assert.Len(t, p.published(house, 6).Diagnostics, 2, "versions jump")
	p.change(house, 3, whole("plan \"old\"\n"))
	p.notify("textDocument/didChange", object{"textDocument": object{"uri": house}, "contentChanges": []any{edit(0, 0, 0, "# no version\n")}})
	p.change(house, 7, edit(0, 0, 0, "# first\n"))
	assert.Equal(t, "30:29-30:38", p.published(house, 7).Diagnostics[0].Range.String(), "an older version is ignored, none is the present one")
	p.change("file:///nowhere/other.weir", 1, whole("x"))
	p.shut("file:///nowhere/other.weir")
	p.ask("shutdown", nil, nil)
}

func TestItem29PushOrPull(t *testing.T) {
	dir := files(t, map[string]string{"house.weir": "", "typicals.weir": library})
	uri, lib := "file://"+dir+"/house.weir", "file://"+dir+"/typicals.weir"
	push := serve(t, Options{})
	assert.NotContains(t, string(push.hello(allAbilities)), "diagnosticProvider")
	push.open(uri, 1, includer+demoBody(t))
	pushed := push.published(uri, 1)
	push.last("the included file", lib, func(got testPublished) bool { return len(got.Diagnostics) == 1 })

	pull := serve(t, Options{})
	assert.Contains(t, string(pull.hello(`{"textDocument":{"diagnostic":{}}}`)), `"diagnosticProvider":{"identifier":"crownweir","interFileDependencies":true,"workspaceDiagnostics":false}`)
	pull.open(uri, 1, includer+demoBody(t))
	var got struct {
		Kind, ResultID string
		Items          []testDiagnostic
	}
	ask := func(uri, previous string) {
		got.Items = nil
		pull.ask("textDocument/diagnostic", object{"textDocument": object{"uri": uri}, "previousResultId": previous}, &got)
	}
	ask(uri, "")
	assert.Equal(t, "full", got.Kind)
	assert.Len(t, got.Items, 2)
	assert.Equal(t, codes(pushed.Diagnostics), codes(got.Items))
	before := got.ResultID
	ask(uri, before)
	assert.Equal(t, "unchanged", got.Kind)
	assert.Nil(t, got.Items)
	assert.Equal(t, before, got.ResultID)
	pull.change(uri, 2, whole("plan \"x\"\n"))
	ask(uri, before)
	assert.Equal(t, "full", got.Kind)
	assert.NotNil(t, got.Items, "never null")
	assert.Empty(t, got.Items)
	ask("file:///nowhere/closed.weir", "")
	assert.Equal(t, "full", got.Kind)

	// what an open plan finds in a closed file is told; once it is open, it is asked for
	pull.change(uri, 3, whole(includer))
	pull.last("the closed file", lib, func(got testPublished) bool { return len(got.Diagnostics) == 1 })
	pull.open(lib, 1, library)
	pull.last("taking back", lib, func(got testPublished) bool { return len(got.Diagnostics) == 0 })
	ask(lib, "")
	assert.Len(t, got.Items, 1, "once, though its own check and the plan's find it")
	for _, one := range append(pull.publishes(uri), pull.publishes("file:///nowhere/closed.weir")...) {
		assert.Empty(t, one.Diagnostics)
	}
	assert.Empty(t, pull.publishes(uri))
}

// demoBody is the demo without its plan line.
func demoBody(t testing.TB) string {
	_, body, ok := strings.Cut(demo(t), "\ncode")
	require.True(t, ok)
	return "code" + body
}

func TestItem30Fields(t *testing.T) {
	full := serve(t, Options{})
	full.hello(allAbilities)
	full.open(house, 7, demo(t))
	got := full.published(house, 7)
	d := got.Diagnostics[0]
	assert.Equal(t, "crownweir", d.Source)
	assert.Equal(t, "long-trap-arm", d.Code)
	assert.Equal(t, 1, d.Severity)
	assert.Equal(t, "trap arm of KS is 4'6\" developed; 1-1/2\" allows 3'6\"\nUPC 2021 Table 1002.2\nwould satisfy: take a vent off within 3'6\" of the weir, or make trap and arm 2\" (allows 5')", d.Message)
	require.Len(t, d.RelatedInformation, 1)
	assert.Equal(t, "vent taken off here", d.RelatedInformation[0].Message)
	assert.Equal(t, house, d.RelatedInformation[0].Location.URI)
	assert.Equal(t, "30:5-30:13", d.RelatedInformation[0].Location.Range.String())
	assert.Regexp(t, `^\{"id":"[0-9a-f]+"\}$`, string(d.Data))
	assert.NotContains(t, full.rawPublish(house), "codeDescription", "there is no page to lead to")

	bare := serve(t, Options{})
	bare.hello(`{}`)
	bare.open(house, 7, demo(t))
	bare.last("findings", house, func(got testPublished) bool { return len(got.Diagnostics) == 2 })
	raw := bare.rawPublish(house)
	for _, field := range []string{"relatedInformation", "data", "codeDescription", "tags"} {
		assert.NotContains(t, raw, `"`+field+`"`)
	}
}

// rawPublish is the text of the latest publish for a document.
func (p *peer) rawPublish(uri string) string {
	p.mu.Lock()
	defer p.mu.Unlock()
	raw := ""
	for _, m := range p.messages {
		if m.Method == "textDocument/publishDiagnostics" && strings.Contains(string(m.Params), `"`+uri+`"`) {
			raw = string(m.Params)
		}
	}
	return raw
}

// What the server tells of every plan of the test data is what a check finds:
// rule, severity, place and message. Ranges are visible and within their line.
func TestItem31SameAsCheck(t *testing.T) {
	today := time.Date(2026, 11, 2, 0, 0, 0, 0, time.UTC)
	p := serve(t, Options{Now: func() time.Time { return today }})
	p.hello(`{"general":{"positionEncodings":["utf-32"]},"textDocument":{"publishDiagnostics":{"versionSupport":true}}}`)
	severities := map[lint.Severity]int{lint.Correction: 1, lint.Caution: 2, lint.Advice: 3}
	findings := 0
	for name, source := range corpus(t) {
		abs, err := filepath.Abs(name)
		require.NoError(t, err)
		report := lint.Check(context.Background(), os.DirFS(filepath.Dir(name)), filepath.Base(name), lint.Options{Today: today})
		uri := "file://" + abs
		p.open(uri, 1, source)
		got := p.published(uri, 1).Diagnostics
		p.shut(uri)
		if report.Unread != "" {
			require.Len(t, got, 1, name)
			assert.Contains(t, got[0].Message, report.Unread)
			continue
		}
		var want, have []string
		for _, f := range report.Findings {
			severity := severities[f.Severity]
			if f.Waived != nil {
				severity = 4
			}
			at := fmt.Sprintf("%d:%d-%d:%d", f.Start.Line-1, f.Start.Column-1, f.End.Line-1, f.End.Column-1)
			want = append(want, fmt.Sprintf("%s %d %s %s", at, severity, f.Rule, f.Message))
		}
		lines := strings.Split(source, "\n")
		for _, d := range got {
			message, _, _ := strings.Cut(d.Message, "\n")
			have = append(have, fmt.Sprintf("%s %d %s %s", d.Range, d.Severity, d.Code, message))
			assert.NotEqual(t, d.Range.Start, d.Range.End, "%s: %s", name, d.Message)
			assert.LessOrEqual(t, d.Range.End.Character, len([]rune(strings.TrimSuffix(lines[d.Range.End.Line], "\r"))), name)
		}
		require.Equal(t, want, have, name)
		findings += len(have)
	}
	assert.Greater(t, findings, 200)
}

// A finding of no width, or in an empty line or file, has a range that can be
// seen where there is anything to see.
func TestItem32Ranges(t *testing.T) {
	text := newText("ab\n\ncé🚰\r\n")
	for span, want := range map[grammar.Span]string{
		{Start: 0, End: 0}:   "0:0-0:1",
		{Start: 2, End: 2}:   "0:1-0:2",
		{Start: 3, End: 3}:   "1:0-1:0",
		{Start: 5, End: 5}:   "2:1-2:2",
		{Start: 7, End: 7}:   "2:2-2:4",
		{Start: 11, End: 11}: "2:2-2:4",
		{Start: 12, End: 12}: "2:2-2:4",
		{Start: 0, End: 99}:  "0:0-3:0",
		{Start: 13, End: 13}: "3:0-3:0",
	} {
		r := text.visible(span, utf16Units)
		got := fmt.Sprintf("%d:%d-%d:%d", r.Start.Line, r.Start.Character, r.End.Line, r.End.Character)
		assert.Equal(t, want, got, "%v", span)
	}
	p := serve(t, Options{})
	p.hello(allAbilities)
	p.open(house, 1, "")
	got := p.published(house, 1).Diagnostics
	require.Len(t, got, 1)
	assert.Equal(t, "the plan is empty; write a plan, or start from `crownweir new`", got[0].Message)
	assert.Equal(t, "0:0-0:0", got[0].Range.String())
}

// many makes a check find something on each of n lines.
func many(n int, severity func(i int) lint.Severity) func(context.Context, fs.FS, string, lint.Options) *lint.Report {
	return func(_ context.Context, fsys fs.FS, path string, opts lint.Options) *lint.Report {
		source, _ := fs.ReadFile(fsys, path)
		r := &lint.Report{Path: path, Files: map[string]*grammar.File{path: opts.Parse(path, string(source))}}
		for i := range n {
			r.Findings = append(r.Findings, lint.Finding{ID: fmt.Sprint(i), Rule: "odd-height", Severity: severity(i), Message: fmt.Sprint("finding ", i),
				Place: lint.Place{File: path, StartByte: 2 * i, EndByte: 2*i + 1}})
		}
		return r
	}
}

func TestItem33Flood(t *testing.T) {
	check := many(1000, func(i int) lint.Severity {
		if i%10 == 9 {
			return lint.Correction
		}
		return lint.Advice
	})
	p := serve(t, Options{Check: check})
	p.hello(allAbilities)
	p.open(house, 1, strings.Repeat("#\n", 1000))
	got := p.published(house, 1).Diagnostics
	require.Len(t, got, mostFindings+1)
	corrections := 0
	for i, d := range got[:mostFindings] {
		if d.Severity == 1 {
			corrections++
		}
		if i > 0 {
			assert.Less(t, got[i-1].Range.Start.Line, d.Range.Start.Line, "in their order")
		}
	}
	assert.Equal(t, 100, corrections, "what matters most is kept")
	assert.Equal(t, "800 more findings are not shown here; `crownweir check` lists them all", got[mostFindings].Message)

	p.notify("workspace/didChangeConfiguration", object{"settings": object{"weir": object{"mostFindings": 3}}})
	p.last("three", house, func(got testPublished) bool { return len(got.Diagnostics) == 4 })
	for _, settings := range []string{`null`, `{}`, `{"weir":null}`, `{"weir":7}`, `[]`, `"x"`, `{"other":{"mostFindings":9}}`, `{"weir":{"mostFindings":-1}}`, `{"weir":{"mostFindings":"9"}}`} {
		p.notify("workspace/didChangeConfiguration", object{"settings": params(t, rawJSON(settings))})
	}
	p.notify("workspace/didChangeConfiguration", nil)
	p.change(house, 2, whole("#\n"))
	assert.Len(t, p.published(house, 2).Diagnostics, 4)
}

// Typing is let rest; opening and saving are answered at once.
func TestItem33Pause(t *testing.T) {
	const pause = 300 * time.Millisecond
	p := serve(t, Options{Pause: pause})
	p.hello(allAbilities)
	began := time.Now()
	p.open(house, 1, demo(t))
	p.published(house, 1)
	assert.Less(t, time.Since(began), pause)
	for v := 2; v <= 6; v++ {
		p.change(house, v, edit(0, 0, 0, "#"))
		time.Sleep(pause / 10)
	}
	began = time.Now()
	p.published(house, 6)
	assert.Greater(t, time.Since(began), pause/2)
	assert.Len(t, p.publishes(house), 2, "what is typed over is not told")
	p.change(house, 7, edit(0, 0, 0, "#"))
	began = time.Now()
	p.notify("textDocument/didSave", object{"textDocument": object{"uri": house}})
	p.published(house, 7)
	assert.Less(t, time.Since(began), pause)
}

// A number put right after a rest is told of at once, a word that is begun is
// not.
func TestItem33FirstStroke(t *testing.T) {
	const pause = 300 * time.Millisecond
	p := serve(t, Options{Pause: pause})
	p.hello(allAbilities)
	p.open(house, 1, "level ground at 0'\nroom r on ground\n")
	p.published(house, 1)
	version := 1
	stroke := func(change any) time.Duration {
		time.Sleep(pause)
		version++
		began := time.Now()
		p.change(house, version, change)
		p.published(house, version)
		return time.Since(began)
	}
	assert.Less(t, stroke(edit(0, 16, 17, "9")), pause*2/3)
	assert.Greater(t, stroke(edit(2, 0, 0, "d")), pause*2/3, "a word is begun")
	assert.Greater(t, stroke(edit(1, 4, 4, "x")), pause*2/3, "a line beside one that cannot be read")
	assert.Greater(t, stroke(edit(1, 4, 5, "")), pause*2/3)
	assert.Less(t, stroke(whole("level ground at 0'\n")), pause*2/3)
}

// A fault in a check is told where the findings would stand, and the next
// check is as good as ever.
func TestItem05FaultInACheck(t *testing.T) {
	p := serve(t, Options{Check: func(ctx context.Context, fsys fs.FS, path string, opts lint.Options) *lint.Report {
		if source, _ := fs.ReadFile(fsys, path); strings.Contains(string(source), "PANIC") {
			panic("a broken invariant")
		}
		return lint.Check(ctx, fsys, path, opts)
	}})
	p.hello(allAbilities)
	p.open(house, 1, "# PANIC\n")
	got := p.published(house, 1).Diagnostics
	require.Len(t, got, 1)
	assert.Equal(t, "the plan is not judged, for a fault of the program: a broken invariant", got[0].Message)
	at := object{"textDocument": object{"uri": house}, "position": object{"line": 0, "character": 0}}
	p.ask("textDocument/hover", at, nil)
	p.change(house, 2, whole(demo(t)))
	assert.Len(t, p.published(house, 2).Diagnostics, 2)
}

// A million lines are too much for a plan, and are told to be so.
func TestMillionLines(t *testing.T) {
	if testing.Short() {
		t.Skip("a million lines")
	}
	p := serve(t, Options{})
	p.hello(allAbilities)
	p.open(house, 1, "plan \"x\"\n"+strings.Repeat("note \"n\"\n# remark\n\n", 334_000)+"note \"end\"\n")
	assert.Empty(t, p.published(house, 1).Diagnostics)
	p.change(house, 2, edit(499_999, 0, 0, "nte \"typed\"\n"))
	assert.Equal(t, "499999:0-499999:3", p.published(house, 2).Diagnostics[0].Range.String())
	p.change(house, 3, edit(0, 0, 0, strings.Repeat("# a longer remark\n", 1_000_000)))
	got := p.published(house, 3).Diagnostics
	require.Len(t, got, 1)
	assert.Contains(t, got[0].Message, "a plan is at most 16 MB")
}

func TestWaivedIsAHint(t *testing.T) {
	p := serve(t, Options{})
	p.hello(allAbilities)
	p.open(house, 1, demo(t)+"waive long-trap-arm on KS to k1 because \"the wall is listed\"\n")
	got := p.published(house, 1).Diagnostics[0]
	assert.Equal(t, 4, got.Severity)
	assert.Contains(t, got.Message, "\nwaived: the wall is listed")
	var data note
	require.NoError(t, json.Unmarshal(got.Data, &data))
}
