package codebook

import (
	"errors"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2/unstable"
)

// Problem is what is wrong with a book or amendment file, and where. Lines
// and columns count from 1, columns in Unicode code points.
type Problem struct {
	Line, Column int
	Message      string
}

// shape is what a node of a file holds.
type shape uint8

const (
	tableShape shape = iota
	arrayShape
	textShape
	numberShape
	boolShape
	otherShape // dates, which no book has
)

func (s shape) String() string {
	return [...]string{"a table", "an array", "a text", "a number", "true or false", "a date"}[s]
}

// node is a value of a file with its place. Tables keep the order of their
// keys, which a map would lose: rows stand in printed order.
type node struct {
	shape        shape
	line, column int
	text         string  // of a text
	number       float64 // of a number
	yes          bool    // of a bool
	items        []*node // of an array
	entries      []entry // of a table
	index        map[string]int
	header       bool // opened by a [header] already
}

// entry is a key of a table with the key's own place.
type entry struct {
	key          string
	line, column int
	value        *node
}

func (n *node) get(key string) *node {
	if n == nil || n.shape != tableShape {
		return nil
	}
	if i, ok := n.index[key]; ok {
		return n.entries[i].value
	}
	return nil
}

func (n *node) put(e entry) {
	if n.index == nil {
		n.index = map[string]int{}
	}
	n.index[e.key] = len(n.entries)
	n.entries = append(n.entries, e)
}

// maxDepth bounds how deep the arrays and tables of a file nest; a book needs five.
const maxDepth = 16

// reader turns a file into nodes.
type reader struct {
	parser   unstable.Parser
	lines    []int // offset at which each line begins
	data     []byte
	problems []Problem
}

// readTree reads a whole file. Reading stops at the first line that is no
// TOML; what stands before it is kept.
func readTree(data []byte) (*node, []Problem) {
	r := &reader{data: data, lines: []int{0}}
	for i, c := range data {
		if c == '\n' {
			r.lines = append(r.lines, i+1)
		}
	}
	root := &node{shape: tableShape, line: 1, column: 1}
	if !utf8.Valid(data) {
		r.report(0, "the file is not UTF-8; save it as UTF-8")
		return root, r.problems
	}
	r.parser.Reset(data)
	into := root
	for r.parser.NextExpression() {
		expression := r.parser.Expression()
		switch expression.Kind {
		case unstable.Table:
			into = r.open(root, expression)
		case unstable.ArrayTable:
			keys := r.keys(expression)
			r.report(keys[0].offset, "[["+joinKeys(keys)+"]] is a list of tables; write ["+joinKeys(keys)+"]")
			into = &node{shape: tableShape}
		case unstable.KeyValue:
			r.assign(into, expression, 0)
		}
	}
	if err := r.parser.Error(); err != nil {
		r.report(r.offsetOf(err), "this line is no TOML; look for a missing quote, bracket, comma or equals sign")
	}
	return root, r.problems
}

// key is one part of a dotted key.
type key struct {
	text   string
	offset int
}

func (r *reader) keys(n *unstable.Node) []key {
	var keys []key
	for it := n.Key(); it.Next(); {
		part := it.Node()
		keys = append(keys, key{string(part.Data), int(part.Raw.Offset)})
	}
	return keys
}

func joinKeys(keys []key) string {
	parts := make([]string, len(keys))
	for i, k := range keys {
		parts[i] = k.text
	}
	return strings.Join(parts, ".")
}

// open finds or makes the table of a [header].
func (r *reader) open(root *node, expression *unstable.Node) *node {
	keys := r.keys(expression)
	table := r.descend(root, keys)
	if table.header {
		r.report(keys[0].offset, "["+joinKeys(keys)+"] stands twice; put its lines together")
	}
	table.header = true
	return table
}

// descend walks dotted keys, making tables on the way. A key that holds
// something else is reported, and a table apart takes what follows.
func (r *reader) descend(from *node, keys []key) *node {
	for _, k := range keys {
		next := from.get(k.text)
		if next == nil {
			line, column := r.place(k.offset)
			next = &node{shape: tableShape, line: line, column: column}
			from.put(entry{k.text, line, column, next})
		}
		if next.shape != tableShape {
			r.report(k.offset, k.text+" is "+next.shape.String()+" already; it cannot be a table too")
			return &node{shape: tableShape}
		}
		from = next
	}
	return from
}

func (r *reader) assign(into *node, expression *unstable.Node, depth int) {
	keys := r.keys(expression)
	last := keys[len(keys)-1]
	into = r.descend(into, keys[:len(keys)-1])
	if into.get(last.text) != nil {
		r.report(last.offset, last.text+" stands twice; keep one of them")
		return
	}
	line, column := r.place(last.offset)
	value := r.value(expression.Value(), last.offset, depth)
	into.put(entry{last.text, line, column, value})
}

// value reads a value; keyOffset is where its key stands, for values without
// a place of their own.
func (r *reader) value(n *unstable.Node, keyOffset, depth int) *node {
	offset := keyOffset
	if n.Raw.Length > 0 {
		offset = int(n.Raw.Offset)
	}
	out := &node{shape: otherShape}
	out.line, out.column = r.place(offset)
	if depth > maxDepth {
		r.report(offset, "values nest more than 16 deep; write a flat table")
		return out
	}
	switch n.Kind {
	case unstable.String:
		out.shape, out.text = textShape, string(n.Data)
	case unstable.Bool:
		out.shape, out.yes = boolShape, n.Data[0] == 't'
	case unstable.Integer, unstable.Float:
		number, err := strconv.ParseFloat(strings.ReplaceAll(string(n.Data), "_", ""), 64)
		if err != nil {
			r.report(offset, string(n.Data)+" is no plain number; write digits with a point")
		}
		out.shape, out.number = numberShape, number
	case unstable.Array:
		out.shape = arrayShape
		for it := n.Children(); it.Next(); {
			if it.Node().Kind != unstable.Comment {
				out.items = append(out.items, r.value(it.Node(), offset, depth+1))
			}
		}
	case unstable.InlineTable:
		out.shape = tableShape
		for it := n.Children(); it.Next(); {
			if it.Node().Kind == unstable.KeyValue {
				r.assign(out, it.Node(), depth+1)
			}
		}
	}
	return out
}

func (r *reader) offsetOf(err error) int {
	var wrong *unstable.ParserError
	if !errors.As(err, &wrong) || len(wrong.Highlight) == 0 {
		return len(r.data)
	}
	return int(r.parser.Range(wrong.Highlight).Offset)
}

// place turns an offset into a line and a column.
func (r *reader) place(offset int) (line, column int) {
	low, high := 0, len(r.lines)
	for high-low > 1 {
		if mid := (low + high) / 2; r.lines[mid] <= offset {
			low = mid
		} else {
			high = mid
		}
	}
	return low + 1, utf8.RuneCount(r.data[r.lines[low]:offset]) + 1
}

func (r *reader) report(offset int, message string) {
	line, column := r.place(offset)
	r.problems = append(r.problems, Problem{line, column, message})
}
