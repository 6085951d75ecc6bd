package system

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"strings"
	"unicode/utf8"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
)

// Limits that keep hostile plans from costing more than they should.
const (
	maxIncludeDepth = 8
	maxFileSize     = 16 << 20
	maxPlaced       = 400_000
	maxCopyDepth    = 16
)

// Options steer a build.
type Options struct {
	// Parse reads one file; nil takes grammar.Parse. A server passes one that
	// keeps a cache or an unsaved buffer's text.
	Parse func(path, source string) *grammar.File
	// LeastFall is the code's least fall in metres a metre for a level drain
	// or sewer of a nominal size, assumed where the plan writes none; nil
	// leaves such falls unknown.
	LeastFall func(kind Kind, size quantity.Size) (float64, bool)
}

// Load reads the plan at name with what it includes, and builds it. An error
// means the plan itself could not be read; everything else is a Problem.
func Load(fsys fs.FS, name string, opts Options) (*System, error) {
	src, err := ReadFile(fsys, name)
	if err != nil {
		return nil, err
	}
	return BuildSource(fsys, name, src, opts), nil
}

// BuildSource builds a plan whose text is at hand; fsys, which may be nil, is
// where its includes are read from.
func BuildSource(fsys fs.FS, name, src string, opts Options) *System {
	parse := opts.Parse
	if parse == nil {
		parse = grammar.Parse
	}
	s := &System{
		Path: name, Files: map[string]*grammar.File{},
		byTag:  map[string][]*Run{},
		copyOf: map[string]*Copy{}, levelOf: map[string]*Level{}, roomOf: map[string]*Room{},
		manyTraps: map[*Point][]*Trap{},
	}
	b := &builder{System: s, fs: fsys, parse: parse, opts: opts, typicals: map[string]*typical{}, excepts: map[exceptKey]*except{}}
	f := parse(name, src)
	s.Files[name] = f
	s.Order = append(s.Order, name)
	b.run(f)
	return s
}

// ReadFile reads a plan's text, refusing with a reason what is no plan.
func ReadFile(fsys fs.FS, name string) (string, error) {
	info, err := fs.Stat(fsys, name)
	if err != nil {
		return "", readError(err)
	}
	if info.IsDir() {
		return "", errors.New("is a folder, not a plan; name a file that ends in .weir")
	}
	if !info.Mode().IsRegular() { // a pipe or a device may never end
		return "", errors.New("is no plain file; name a file that ends in .weir")
	}
	if info.Size() > maxFileSize {
		return "", fmt.Errorf("is %d MB; a plan is at most %d MB: split it with `include`", info.Size()>>20, maxFileSize>>20)
	}
	text, held := "", false
	if t, ok := fsys.(texts); ok {
		text, held = t.ReadText(name)
	}
	if !held {
		data, err := fs.ReadFile(fsys, name)
		if err != nil {
			return "", readError(err)
		}
		text = string(data)
	}
	if !utf8.ValidString(text) {
		return "", fmt.Errorf("is not UTF-8 text (byte %d); save it as UTF-8", firstInvalid(text)+1)
	}
	return text, nil
}

// texts is a file system that holds files as text, and hands them out without
// a copy; ok is false for a file that it does not hold so.
type texts interface {
	ReadText(name string) (text string, ok bool)
}

func readError(err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return errors.New("does not exist")
	case errors.Is(err, fs.ErrPermission):
		return errors.New("may not be read; check its permissions")
	}
	return fmt.Errorf("could not be read: %w", err)
}

func firstInvalid(data string) int {
	for i := 0; i < len(data); {
		r, n := utf8.DecodeRuneInString(data[i:])
		if r == utf8.RuneError && n <= 1 {
			return i
		}
		i += n
	}
	return len(data)
}

// include reads an included file once; it holds levels, rooms, typicals and notes.
func (b *builder) include(from *grammar.File, inc *grammar.Include, chain []string) {
	loc := Loc{from.Path, inc.Path.Span}
	refuse := func(msg, remedy string) {
		b.problem(Problem{Rule: "refused-input", Loc: loc, Subject: inc.Path.Text, Message: msg, Remedy: remedy})
	}
	p := strings.ReplaceAll(inc.Path.Text, `\`, "/")
	full := path.Join(path.Dir(from.Path), p)
	if p == "" || path.IsAbs(p) || full == ".." || strings.HasPrefix(full, "../") || !fs.ValidPath(full) || strings.Contains(p, ":") {
		refuse(fmt.Sprintf("include %q leaves the plan's folder tree", inc.Path.Text), "keep included files beside the plan or in a folder below it")
		return
	}
	for i, c := range chain {
		if c == full {
			way := strings.Join(append(append([]string{}, chain[i:]...), full), " → ")
			refuse(fmt.Sprintf("include %q closes a circle: %s", inc.Path.Text, way), "take one of these includes out")
			return
		}
	}
	if len(chain) > maxIncludeDepth {
		refuse(fmt.Sprintf("include %q is more than %d files deep", inc.Path.Text, maxIncludeDepth), "include it from the plan itself")
		return
	}
	if _, read := b.Files[full]; read {
		return
	}
	if b.fs == nil {
		refuse(fmt.Sprintf("include %q cannot be read: the plan stands in no folder", inc.Path.Text), "save the plan first")
		return
	}
	src, err := ReadFile(b.fs, full)
	if err != nil {
		refuse(fmt.Sprintf("include %q %v", inc.Path.Text, err), "correct the path, or put the file there")
		return
	}
	f := b.parse(full, src)
	b.Files[full] = f
	b.Order = append(b.Order, full)
	for _, st := range f.Statements {
		switch st := st.(type) {
		case *grammar.Include:
			b.include(f, st, append(chain, full))
		case *grammar.Level, *grammar.Room, *grammar.Note:
			b.top = append(b.top, inst{stmt: st, file: f})
		case *grammar.Typical:
			b.typical(f, st)
		default:
			b.problem(Problem{Rule: "refused-input", Loc: Loc{full, st.Pos()}, Subject: st.Keyword(),
				Message: fmt.Sprintf("`%s` in an included file: it holds levels, rooms, typicals and notes only", st.Keyword()),
				Remedy:  "move the line into the plan"})
		}
	}
}
