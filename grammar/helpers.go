package grammar

import (
	"strconv"
	"strings"

	"crownweir/grammar/quantity"
)

// Ends is the stretch that names where a run begins and ends.
func (r *Run) Ends() Span {
	return Span{r.From.Span.Start, max(r.From.Span.End, r.To.Span.End)}
}

// FindAttr is the first attribute of that key.
func FindAttr(attrs []Attr, key string) (Attr, bool) {
	for i := range attrs {
		if attrs[i].Key == key {
			return attrs[i], true
		}
	}
	return Attr{}, false
}

// Qty is the attribute's first quantity.
func (a Attr) Qty() (quantity.Value, bool) {
	for i := range a.Values {
		if a.Values[i].Kind == OperandQty {
			return a.Values[i].Qty, true
		}
	}
	return quantity.Value{}, false
}

// Size is the attribute's first quantity as a nominal pipe size.
func (a Attr) Size() (quantity.Size, bool) {
	q, ok := a.Qty()
	if !ok {
		return 0, false
	}
	return q.Size()
}

// Text is the attribute's first word or string, "" where it has none.
func (a Attr) Text() string {
	for i := range a.Values {
		if k := a.Values[i].Kind; k == OperandWord || k == OperandString {
			return a.Values[i].Text
		}
	}
	return ""
}

// Unknown tells whether a value of the attribute is written `unknown`.
func (a Attr) Unknown() bool { return a.has(OperandUnknown) }

// Solve tells whether `?` stands for a value of the attribute.
func (a Attr) Solve() bool { return a.has(OperandSolve) }

func (a Attr) has(kind OperandKind) bool {
	for i := range a.Values {
		if a.Values[i].Kind == kind {
			return true
		}
	}
	return false
}

// mostNames is the length of the longest range that is expanded.
const mostNames = 10_000

// IsRange tells whether the reference is a range.
func (r Ref) IsRange() bool { return r.Last.Text != "" }

// Names lists the names a reference stands for, in its order. False where the
// two ends do not differ in exactly one number, or stand for more than 10,000.
func (r Ref) Names() ([]string, bool) {
	if !r.IsRange() {
		if r.First.Text == "" {
			return nil, false
		}
		return []string{r.First.Text}, true
	}
	head, tail, from, to, width, ok := rangeParts(r.First.Text, r.Last.Text)
	if !ok || abs(to-from) >= mostNames {
		return nil, false
	}
	step := 1
	if to < from {
		step = -1
	}
	out := make([]string, 0, abs(to-from)+1)
	for n := from; ; n += step {
		digits := strconv.Itoa(n)
		if pad := width - len(digits); pad > 0 {
			digits = strings.Repeat("0", pad) + digits
		}
		out = append(out, head+digits+tail)
		if n == to {
			return out, true
		}
	}
}

// String prints the reference as it is written.
func (r Ref) String() string {
	if r.IsRange() {
		return r.First.Text + ".." + r.Last.Text
	}
	return r.First.Text
}

// rangeParts splits two names at the one number they differ in. Numbers with
// leading zeros keep their width, which must then be the same in both.
func rangeParts(a, b string) (head, tail string, from, to, width int, ok bool) {
	i := 0
	for i < len(a) && i < len(b) && a[i] == b[i] {
		i++
	}
	for i > 0 && isDigit(a[i-1]) { // the number may begin with digits in common
		i--
	}
	na, nb := digitRun(a[i:]), digitRun(b[i:])
	if na == "" || nb == "" || na == nb || a[i+len(na):] != b[i+len(nb):] || len(na) > 9 || len(nb) > 9 {
		return "", "", 0, 0, 0, false
	}
	if na[0] == '0' && len(na) > 1 || nb[0] == '0' && len(nb) > 1 {
		if len(na) != len(nb) {
			return "", "", 0, 0, 0, false
		}
		width = len(na)
	}
	from, _ = strconv.Atoi(na)
	to, _ = strconv.Atoi(nb)
	return a[:i], a[i+len(na):], from, to, width, true
}

func digitRun(s string) string {
	i := 0
	for i < len(s) && isDigit(s[i]) {
		i++
	}
	return s[:i]
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }
