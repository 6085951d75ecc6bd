package answer

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// retyped is a text with something typed into it, and where.
func retyped(random *rand.Rand, source string) Change {
	start := random.IntN(len(source) + 1)
	if random.IntN(2) == 0 { // a line's begin
		start = strings.LastIndexByte(source[:start], '\n') + 1
	}
	end := start + random.IntN(min(len(source)-start, 40)+1)
	if random.IntN(2) == 0 {
		end = start
	}
	by := []string{"", "x", "1", "#", "\n", "  ", ", ", "drain ", "drain k1 to zz9 2\": up to ", "fixture ZZ9 lavatory in ", "typical one\n", "end\n",
		"place bath as ZA..ZC in ", "room zz on ", "level zz at 3'\n", "vent KS to ", "meet k1 ", "drain zz1 to k1 2\"\n", "north 7'7\", ",
		"except ZA drain ", "plan \"x\"\n"}[random.IntN(21)]
	return Change{Source: source[:start] + by + source[end:], Start: start, Before: end, After: start + len(by)}
}

// offers are items as they are compared: what they say, and not the order of
// those that fit alike.
func offers(list []Item) []string {
	var out []string
	for _, it := range list {
		if strings.HasPrefix(it.Detail, "written ") {
			continue // of lengths that are written as often as each other any may be the fifth
		}
		out = append(out, fmt.Sprintf("%s|%s|%s|%v|%s", it.Label, it.Insert, it.Detail, it.At, it.Kind))
	}
	slices.Sort(out)
	return out
}

// difference is what one of two lists holds and the other does not, a few of it.
func difference(want, got []string) (out []string) {
	for _, one := range want {
		if !slices.Contains(got, one) {
			out = append(out, "- "+one)
		}
	}
	for _, one := range got {
		if !slices.Contains(want, one) {
			out = append(out, "+ "+one)
		}
	}
	return out[:min(len(out), 4)]
}

// bearings are the names that the meaning of others depends on.
func bearings(n *names) map[symbol]string {
	all := maps.Clone(n.copies)
	for sym := range n.declared {
		if sym.space != points {
			all[sym] = "declared"
		}
	}
	for key, list := range n.ranges {
		all[symbol{key.space, key.scope, key.head}] = fmt.Sprint(len(list))
	}
	return all
}

// A plan that is read around what was edited alone is answered as one that is
// read from the beginning, and nothing reads it from the beginning.
func TestEditedPlansAreReadAroundTheChange(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 5))
	asked, some, edits, around := 0, 0, 0, 0
	for i, name := range corpus(t) {
		source := read(t, name)
		if testing.Short() && i%6 != 0 || len(source) == 0 {
			continue
		}
		p := planIn(source)
		if p.Report == nil {
			continue
		}
		for range 6 {
			c := retyped(random, source)
			q := p.Edited(map[string]Change{"plan.weir": c})
			whole := &Plan{Path: p.Path, Report: p.Report, Sources: map[string]string{"plan.weir": c.Source}}
			for _, offset := range []int{c.After, c.Start, min(c.After+3, len(c.Source)), random.IntN(len(c.Source) + 1)} {
				got, more := Complete(q, "plan.weir", offset)
				want, wantMore := Complete(whole, "plan.weir", offset)
				what := fmt.Sprintf("%s: %q in the place of %q, asked at %d", name, c.Source[c.Start:c.After], source[c.Start:c.Before], offset)
				if !maps.Equal(bearings(p.written()), bearings(whole.written())) {
					continue // names elsewhere mean something else now
				}
				if !assert.Empty(t, difference(offers(want), offers(got)), what) {
					return
				}
				assert.Equal(t, wantMore, more, what)
				sig, ok := SignatureAt(q, "plan.weir", offset)
				wantSig, wantOK := SignatureAt(whole, "plan.weir", offset)
				assert.Equal(t, wantOK, ok, what)
				assert.Equal(t, wantSig, sig, what)
				asked++
				some += min(len(got), 1)
			}
			edits++
			if page := q.pages["plan.weir"]; page != nil {
				assert.ElementsMatch(t, whole.file("plan.weir").legs(), page.legs())
				around++
				assert.Nil(t, q.files, "%s was read from the beginning", name)
			}
		}
	}
	assert.Greater(t, some, asked/4, "the places asked at are worth asking")
	assert.Greater(t, around, edits*3/4, "but for typicals that begin and end")
}

// A text that was not the checked one's is not patched by a change of it.
func TestEditedOfAnotherText(t *testing.T) {
	p := planIn(sallow)
	text := strings.Replace(sallow, "k1", "k11", 1)
	q := p.Edited(map[string]Change{"plan.weir": {Source: text + "drain ", Start: len(text), Before: len(text), After: len(text) + 6}})
	got, _ := Complete(q, "plan.weir", len(text)+6)
	want, _ := Complete(&Plan{Path: p.Path, Report: p.Report, Sources: q.Sources}, "plan.weir", len(text)+6)
	assert.Equal(t, want, got)
	assert.NotEmpty(t, got)
}

// Of more names than are handed out at once those are, that begin like what is
// being written, the best first.
func TestCompleteManyNames(t *testing.T) {
	source := longPlan(2000)
	at := strings.Index(source, "\ndrain q77 ") + len("\ndrain q7")
	p := planIn(source)
	got, more := Complete(p, "plan.weir", at)
	assert.True(t, more)
	assert.NotEmpty(t, got)
	for _, it := range got {
		assert.Contains(t, it.Label, "7", it.Label)
		_, ok := fits(it.Label, "q7")
		assert.True(t, ok, it.Label)
		assert.NotEmpty(t, it.Detail)
	}
	typed := source[:at] + "7" + source[at:]
	again, _ := Complete(p.Edited(map[string]Change{"plan.weir": {typed, at, at, at + 1}}), "plan.weir", at+1)
	for _, it := range again {
		assert.Contains(t, it.Label, "77", it.Label)
	}
	assert.NotEmpty(t, again)
}
