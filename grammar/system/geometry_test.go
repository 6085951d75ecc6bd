package system_test

import (
	"fmt"
	"math"
	"math/rand"
	"sort"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar"
	"crownweir/grammar/system"
)

// head is what most plans of the tables begin with.
const head = `plan "Tarnbrook Mews, no. 2"
code upc-2021
default drain abs
default fall 1/4
level ground at 0'
level second at 10'
roof at 24'
room bath on ground
room loft on second
outfall SEW at -20'
`

const inch = 0.0254

// geometry is a plan and what it must come to. Wants are, in inches:
//
//	"k1 z -8.375"            where a point stands (x, y, z; "cold k1 z 20" in the cold net)
//	"KS to k1 leg 2 len 30"  a leg's developed length ("from": its origin)
//	"KS to k1 leg 2 fall .25 worked"   inches a foot, and where the fall comes from
//	"KS to k1 leg 1 z 18 17.5"         the heights of its ends
//	"open-geometry on KS to k1"        a problem; every problem must be wanted
type geometry struct {
	name, plan string
	wants      []string
}

func check(t *testing.T, cases []geometry) {
	t.Helper()
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			src := c.plan
			if !strings.HasPrefix(src, "plan ") {
				src = head + src
			}
			judge(t, c.wants, src)
			// lines may stand in any order
			parsed := grammar.Parse("a.weir", src)
			if len(parsed.Problems) > 0 {
				return // a line that cannot be read is no statement to move
			}
			var lines []string
			for _, st := range parsed.Statements {
				lines = append(lines, src[st.Pos().Start:st.Pos().End])
			}
			for seed := range int64(4) {
				rand.New(rand.NewSource(seed)).Shuffle(len(lines), func(i, j int) { lines[i], lines[j] = lines[j], lines[i] })
				judge(t, c.wants, strings.Join(lines, "\n")+"\n")
			}
		})
	}
}

// judge holds a plan against its wants.
func judge(t *testing.T, wants []string, src string) {
	t.Helper()
	s := system.BuildSource(nil, "a.weir", src, system.Options{})
	var problems, wanted []string
	for _, w := range wants {
		if strings.Contains(w, " on ") {
			rule, _, _ := strings.Cut(w, ":")
			wanted = append(wanted, rule)
			_, part, said := strings.Cut(w, ": ")
			assert.True(t, !said || saidSo(s, part), "no problem says %q: %s", part, text(s))
			continue
		}
		claim(t, s, w)
	}
	for _, p := range s.Problems {
		if p.Rule != "unused-point" && !strings.HasPrefix(p.Rule, "dead-end") && p.Rule != "unconnected-fixture" {
			problems = append(problems, p.Rule+" on "+p.Subject)
		}
	}
	sort.Strings(problems)
	sort.Strings(wanted)
	assert.Equal(t, strings.Join(wanted, "; "), strings.Join(problems, "; "), "%s\n%s", text(s), src)
}

func saidSo(s *system.System, part string) bool {
	for _, p := range s.Problems {
		if strings.Contains(p.Message, part) {
			return true
		}
	}
	return false
}

func text(s *system.System) string {
	out := ""
	for _, p := range s.Problems {
		out += fmt.Sprintf("\n  %s on %s: %s; %s", p.Rule, p.Subject, p.Message, p.Remedy)
	}
	return out
}

var origins = map[string]system.Origin{
	"written": system.Written, "found": system.Found, "usual": system.Usual, "default": system.Default, "least": system.Least,
	"worked": system.Worked, "target": system.Target, "suit": system.Suit, "datum": system.Datum, "derived": system.Derived,
}

func claim(t *testing.T, s *system.System, want string) {
	t.Helper()
	w := strings.Fields(want)
	net := system.DWV
	if w[0] == "cold" || w[0] == "hot" {
		net = map[string]system.Net{"cold": system.ColdNet, "hot": system.HotNet}[w[0]]
		w = w[1:]
	}
	if len(w) == 3 {
		p := s.Point(w[0])
		require.NotNil(t, p, want)
		got := p.Node.Pos[net][strings.Index("xyz", w[1])]
		if w[2] == "?" {
			assert.False(t, got.Known(), "%s: %v", want, got.V/inch)
			return
		}
		require.True(t, got.Known(), "%s: not known%s", want, text(s))
		assert.InDelta(t, number(t, w[2]), got.V/inch, 1e-3, want)
		return
	}
	require.GreaterOrEqual(t, len(w), 6, want)
	require.Equal(t, "leg", w[3], want)
	leg := find(t, s, w[0], w[2], int(number(t, w[4])))
	switch w[5] {
	case "len":
		if w[6] == "?" {
			assert.False(t, leg.Length.Known(), want)
			return
		}
		require.True(t, leg.Length.Known(), want)
		assert.InDelta(t, number(t, w[6]), leg.Length.V/inch, 1e-3, want)
		if len(w) > 7 {
			assert.Equal(t, origins[w[7]], leg.Length.Origin, want)
		}
	case "fall":
		if w[6] == "?" {
			assert.False(t, leg.Fall.Known(), want)
			return
		}
		require.True(t, leg.Fall.Known(), want)
		assert.InDelta(t, number(t, w[6]), leg.Fall.V*12, 1e-4, want)
		if len(w) > 7 {
			assert.Equal(t, origins[w[7]], leg.Fall.Origin, want)
		}
	case "z":
		require.True(t, leg.Z0.Known() && leg.Z1.Known(), want)
		assert.InDelta(t, number(t, w[6]), leg.Z0.V/inch, 1e-3, want)
		assert.InDelta(t, number(t, w[7]), leg.Z1.V/inch, 1e-3, want)
		if len(w) > 8 {
			assert.Equal(t, origins[w[8]], leg.Z1.Origin, want)
		}
	default:
		t.Fatalf("cannot read %q", want)
	}
}

// find counts the legs of a run from 1, over all the pipes it was cut into.
func find(t *testing.T, s *system.System, from, to string, n int) *system.Part {
	t.Helper()
	runs := s.Between(from, to)
	require.NotEmpty(t, runs, "no run %s to %s", from, to)
	for _, p := range runs[0].Pipes {
		for i := range p.Parts {
			if !p.Parts[i].IsLeg() {
				continue
			}
			if n--; n == 0 {
				return &p.Parts[i]
			}
		}
	}
	t.Fatalf("%s to %s has fewer legs", from, to)
	return nil
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err, text)
	require.False(t, math.IsNaN(v))
	return v
}
