package fit_test

import (
	"context"
	"fmt"
	"io/fs"
	"math/rand"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/lint"
	"crownweir/lint/fit"
)

// plan is a plan with the folder that its includes are read from.
type plan struct {
	name string
	fsys fs.FS
	base string
	src  string
}

// overlay is a folder in which some files have another text.
type overlay struct {
	fs.FS
	own fstest.MapFS
}

func (o overlay) Open(name string) (fs.File, error) {
	if _, ok := o.own[name]; ok {
		return o.own.Open(name)
	}
	return o.FS.Open(name)
}

func (p plan) with(texts map[string]string) plan {
	own := fstest.MapFS{}
	for name, text := range texts {
		own[name] = &fstest.MapFile{Data: []byte(text)}
	}
	p.fsys = overlay{p.fsys, own}
	if text, ok := texts[p.base]; ok {
		p.src = text
	}
	return p
}

func (p plan) solve(t testing.TB, opts fit.Options) *fit.Result {
	r, err := fit.Solve(context.Background(), p.fsys, p.base, opts)
	require.NoError(t, err)
	return r
}

// plans are all plans of the repository, the rules' examples too.
func plans(t testing.TB) []plan {
	var out []plan
	for _, root := range []string{"../../testdata", "../rule/examples"} {
		err := filepath.WalkDir(root, func(name string, entry fs.DirEntry, err error) error {
			if err != nil || path.Ext(name) != ".weir" {
				return err
			}
			src, err := os.ReadFile(name)
			out = append(out, plan{filepath.ToSlash(name[len(filepath.Dir(filepath.Clean(root)))+1:]), os.DirFS(filepath.Dir(name)), filepath.Base(name), string(src)})
			return err
		})
		require.NoError(t, err)
	}
	require.Greater(t, len(out), 200)
	return out
}

// asking is the plan with `?` in the place of some of its sizes.
func (p plan) asking(random *rand.Rand, share float64) plan {
	f := grammar.Parse(p.base, p.src)
	var spans []grammar.Span
	var walk func([]grammar.Statement)
	walk = func(list []grammar.Statement) {
		for _, st := range list {
			switch st := st.(type) {
			case *grammar.Typical:
				walk(st.Body)
			case *grammar.Run:
				if !st.Existing && st.Size.Span.End > st.Size.Span.Start {
					spans = append(spans, st.Size.Span)
				}
				for _, it := range st.Items {
					if a, ok := grammar.FindAttr(it.Attrs, "size"); ok && it.Word.Text == "trap" && !st.Existing && len(a.Values) == 1 {
						spans = append(spans, a.Values[0].Span)
					}
				}
			}
		}
	}
	walk(f.Statements)
	var b strings.Builder
	at := 0
	for _, s := range spans {
		if random.Float64() < share && s.Start >= at {
			b.WriteString(p.src[at:s.Start] + "?")
			at = s.End
		}
	}
	b.WriteString(p.src[at:])
	return p.with(map[string]string{p.base: b.String()})
}

// found is what counts of a report, told apart as a reader would.
func found(r *lint.Report) map[string]string {
	out := map[string]string{}
	for _, f := range r.Findings {
		if f.Severity == lint.Advice || f.Rule == "unsized-run" || f.Rule == "idle-waiver" {
			continue
		}
		key := f.Rule + " " + f.ID
		out[key] = f.Message
		for _, c := range f.Copies {
			out[key+" "+c] = f.Message
		}
		for _, rel := range f.Related {
			out[fmt.Sprintf("%s %s:%d", key, rel.File, rel.Start.Line)] = f.Message
		}
	}
	return out
}

func news(before, after map[string]string) []string {
	var out []string
	for k, m := range after {
		if _, ok := before[k]; !ok {
			out = append(out, k+": "+m)
		}
	}
	return out
}

// written is the plan with its solved sizes.
func (p plan) written(r *fit.Result) plan { return p.with(r.Texts) }

// swapped is a solved plan's files with another size in one place.
func swapped(r *fit.Result, which int, size quantity.Size) map[string]string {
	z := r.Sizes[which]
	src := r.Files[z.File].Source
	var b strings.Builder
	at := 0
	for i, o := range r.Sizes {
		if o.File != z.File {
			continue
		}
		b.WriteString(src[at:o.Span.Start])
		if i == which {
			if z.Was == "" {
				b.WriteString(" ")
			}
			b.WriteString(size.String())
		} else {
			b.WriteString(o.Text)
		}
		at = o.Span.End
	}
	b.WriteString(src[at:])
	texts := map[string]string{}
	for name, text := range r.Texts {
		texts[name] = text
	}
	texts[z.File] = b.String()
	return texts
}

// each runs a property over every plan, with all its sizes to be found anew and
// with a `?` in the place of some of them, and over some by another book.
func each(t *testing.T, property func(t *testing.T, p plan, opts fit.Options)) {
	for i, p := range plans(t) {
		t.Run(p.name, func(t *testing.T) {
			t.Parallel()
			property(t, p, fit.Options{All: true})
			random := rand.New(rand.NewSource(int64(i)))
			property(t, p.asking(random, random.Float64()), fit.Options{})
			if i%8 > 0 {
				return
			}
			other := "ipc-2021"
			if strings.Contains(p.src, "code ipc") {
				other = "upc-2021"
			}
			property(t, p, fit.Options{All: true, Book: other})
		})
	}
}

// TestProperties holds what is promised of every solved plan.
func TestProperties(t *testing.T) {
	each(t, func(t *testing.T, p plan, opts fit.Options) {
		r := p.solve(t, opts)
		told := opts
		told.Explain = true
		explained := p.solve(t, told)
		require.Equal(t, sizes(explained), sizes(r), "what the ledger's word saves of trials changes no size")
		onlySizesChange(t, r)
		noSizeCanBeLowered(t, p, explained, opts.Book)
		if opts.All {
			require.Empty(t, p.written(r).solve(t, opts).Texts, "sizing a sized plan anew changes nothing")
		}
	})
}

// noSizeCanBeLowered tries it: every solved size one smaller, alone, brings a
// finding that was not there, the one that the size is told by.
func noSizeCanBeLowered(t *testing.T, p plan, r *fit.Result, book string) {
	judge := func(p plan) map[string]string {
		return found(lint.Check(context.Background(), p.fsys, p.base, lint.Options{Book: book}))
	}
	solved := judge(p.written(r))
	for i, z := range r.Sizes {
		if z.Below == 0 {
			require.Nil(t, z.Bound, z.What)
			continue
		}
		require.NotNil(t, z.Bound, z.What)
		new := news(solved, judge(p.with(swapped(r, i, z.Below))))
		require.NotEmpty(t, new, "%s at %s may be %s; told by %s", z.What, z.Text, z.Below, z.Bound.Message)
		require.Contains(t, strings.Join(new, "\n"), z.Bound.Rule+" "+z.Bound.ID, "%s: the reason it is told by", z.What)
	}
}

// onlySizesChange: comments, layout and line ends stay.
func onlySizesChange(t *testing.T, r *fit.Result) {
	for name, text := range r.Texts {
		src, at := r.Files[name].Source, 0
		rest := text
		for _, z := range r.Sizes {
			if z.File != name {
				continue
			}
			between := src[at:z.Span.Start]
			require.True(t, strings.HasPrefix(rest, between+z.Text), "%s before %s", between, z.What)
			rest, at = rest[len(between)+len(z.Text):], z.Span.End
			require.Equal(t, z.Was, src[z.Span.Start:z.Span.End])
		}
		require.Equal(t, src[at:], rest)
	}
}

func sizes(r *fit.Result) []string {
	var out []string
	for _, z := range r.Sizes {
		out = append(out, z.What+" "+z.Text)
	}
	return out
}
