package lint_test

import (
	"context"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint"
)

// code runs an edit over the words of a source outside strings and comments.
func code(src string, edit func(word string) string) string {
	return words.ReplaceAllStringFunc(src, func(s string) string {
		if s[0] == '#' || s[0] == '"' {
			return s
		}
		return edit(s)
	})
}

// words matches a comment, a string, or a word with its quantities, ranges and
// pairs. A string's opening mark follows a blank, an inch mark a digit.
var words = regexp.MustCompile(`#[^\n]*|"(?:[^"\\\n]|\\.)*"|[^\s:#"][^\s:]*`)

// TestNamesSayNothing: what the points are called decides no rule.
func TestNamesSayNothing(t *testing.T) {
	each(t, func(t *testing.T, p plan, before *lint.Report) {
		names := pointNames(before.System)
		renamed := code(p.src, func(word string) string { return rename(word, names) })
		require.NotEqual(t, p.src, renamed)
		require.Equal(t, rules(before), rules(checkPlan(p.with(renamed))), renamed)
	})
}

// pointNames are the names of points and copies as they stand on the lines,
// but those that are words elsewhere too.
func pointNames(s *system.System) map[string]bool {
	names := map[string]bool{}
	for _, p := range s.Points {
		names[p.Local] = true
	}
	taken := []string{"on", "in", "at", "of"}
	for _, c := range s.Copies {
		names[c.Name[strings.LastIndex(c.Name, ".")+1:]] = true
		taken = append(taken, c.Typical)
	}
	for _, l := range s.Levels {
		taken = append(taken, l.Name)
	}
	for _, r := range s.Rooms {
		taken = append(taken, r.Name)
	}
	for _, r := range s.Runs {
		taken = append(taken, r.Tag, r.Stmt.Tag.Text)
	}
	for _, w := range taken {
		delete(names, w)
	}
	return names
}

// rename gives every part of a word that is a name another first letter, one
// for all names that differ in numbers alone: ranges stay ranges, and the
// alphabet's order is lost.
func rename(word string, names map[string]bool) string {
	return nameParts.ReplaceAllStringFunc(word, func(part string) string {
		if !names[part] {
			return part
		}
		sum := 0
		for _, r := range digits.ReplaceAllString(part, "") {
			sum = sum*31 + int(r)
		}
		return string(rune('a'+sum%26)) + "x" + part
	})
}

var (
	nameParts = regexp.MustCompile(`[A-Za-z][A-Za-z0-9_-]*`)
	digits    = regexp.MustCompile(`[0-9]+`)
)

// TestMirrorKeepsFindings: east and west are alike to every rule.
func TestMirrorKeepsFindings(t *testing.T) {
	each(t, func(t *testing.T, p plan, before *lint.Report) {
		mirrored := p.with(code(p.src, mirror))
		require.Equal(t, subjects(before), subjects(checkPlan(mirrored)), mirrored.src)
	})
}

var (
	pair     = regexp.MustCompile(`^-?[0-9][^,]*(,-?[0-9][^,]*){1,2},?$`)
	eastwest = strings.NewReplacer("east", "west", "west", "east")
	compass  = regexp.MustCompile(`^((up|down)-)?(north|south)?(east|west),?$`)
)

// mirror turns a word of the compass round, and a place with it.
func mirror(word string) string {
	switch {
	case compass.MatchString(word):
		return eastwest.Replace(word)
	case pair.MatchString(word):
		x, rest, _ := strings.Cut(word, ",")
		if strings.HasPrefix(x, "-") {
			return x[1:] + "," + rest
		}
		if strings.Trim(x, `0'"`) == "" {
			return word
		}
		return "-" + x + "," + rest
	}
	return word
}

// TestLiftKeepsFindings: a building that stands ten feet higher, with its
// floors, roofs, pins and outfalls, is the same to every rule.
func TestLiftKeepsFindings(t *testing.T) {
	const lift = 10 * 0.3048
	each(t, func(t *testing.T, p plan, before *lint.Report) {
		up := &lifter{sys: before.System, by: lift}
		raised := lint.Check(context.Background(), p.fsys, p.base, lint.Options{Today: today, Parse: func(file, src string) *grammar.File {
			f := grammar.Parse(file, src)
			up.lift(f.Statements, false)
			return f
		}})
		require.Equal(t, subjects(before), subjects(raised))
		require.Positive(t, up.moved, "levels, roofs and pins that were lifted")
	})
}

// lifter raises the statements of a plan that count from the datum.
type lifter struct {
	sys   *system.System
	by    float64
	moved int
}

func (l *lifter) raise(h *grammar.Height) {
	if h.Value.Kind != quantity.None && h.Of.Text == "" {
		h.Value.SI += l.by
		l.moved++
	}
}

func (l *lifter) lift(list []grammar.Statement, inTypical bool) {
	for _, st := range list {
		switch st := st.(type) {
		case *grammar.Level:
			l.raise(&st.At)
		case *grammar.Roof:
			l.raise(&st.At)
		case *grammar.Point:
			if !inTypical {
				l.point(st)
			}
		case *grammar.Run:
			if !inTypical {
				l.run(st)
			}
		case *grammar.Typical:
			l.lift(st.Body, true)
		}
	}
}

// point raises a pin that counts from the datum: that of a fixture, or of a
// point in a room, counts from its floor.
func (l *lifter) point(st *grammar.Point) {
	if at := l.sys.Point(st.Name.Text); at != nil && at.Level != nil && (at.Room != nil || at.Kind == system.Fixture) {
		return
	}
	l.raise(&st.At.Height)
	if len(st.At.Tuple) == 3 {
		st.At.Tuple[2].SI += l.by
	}
	for i, a := range st.Attrs {
		if a.Key != "manhole" && a.Key != "inlet" || len(a.Values) == 0 {
			continue
		}
		st.Attrs[i].Values[0].Qty.SI += l.by
	}
}

// run raises the targets that count from the datum, for want of a floor.
func (l *lifter) run(st *grammar.Run) {
	for _, r := range l.sys.Runs {
		if r.Stmt.Pos() != st.Pos() || r.Copy != nil {
			continue
		}
		if l.floored(r) {
			return
		}
		for i := range st.Items {
			if st.Items[i].By == grammar.ToHeight {
				l.raise(&st.Items[i].Height)
			}
		}
		return
	}
}

// floored tells whether a run's targets count from a floor: that of the
// fixture it begins at, else the one level that it serves.
func (l *lifter) floored(r *system.Run) bool {
	from := l.sys.Point(r.From)
	if from.Kind == system.Fixture && from.Level != nil {
		return true
	}
	if !r.Kind.Water() {
		level, many := from.Node.Serves()
		return level != nil && !many
	}
	floors := map[*system.Level]bool{}
	hot := func(k system.Kind) bool { return k == system.Hot || k == system.Return }
	seen := map[*system.Node]bool{}
	var follow func(n *system.Node)
	follow = func(n *system.Node) {
		if seen[n] {
			return
		}
		seen[n] = true
		if f := n.Find(system.Fixture); f != nil && f.Level != nil {
			floors[f.Level] = true
		}
		for _, p := range n.WaterOut {
			if hot(p.Kind()) == hot(r.Kind) {
				follow(p.To)
			}
		}
	}
	follow(from.Node)
	return len(floors) == 1
}
