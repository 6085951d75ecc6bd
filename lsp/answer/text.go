package answer

import (
	"fmt"
	"strings"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint"
	"crownweir/lint/codebook"
	"crownweir/lint/sizing"
)

// text is markdown that grows line by line.
type text struct{ b strings.Builder }

func (t *text) String() string { return strings.TrimSpace(t.b.String()) }

// line adds a line; it follows the one before without a gap.
func (t *text) line(format string, args ...any) {
	if t.b.Len() > 0 {
		t.b.WriteString("  \n") // two blanks: a line break of markdown
	}
	fmt.Fprintf(&t.b, format, args...)
}

// para adds a paragraph of its own.
func (t *text) para(format string, args ...any) {
	if t.b.Len() > 0 {
		t.b.WriteString("\n\n")
	}
	fmt.Fprintf(&t.b, format, args...)
}

// item adds an item of a list.
func (t *text) item(format string, args ...any) {
	s := t.b.String()
	switch i := strings.LastIndexByte(s, '\n'); {
	case s == "":
	case strings.HasPrefix(s[i+1:], "- "):
		t.b.WriteString("\n")
	default:
		t.b.WriteString("\n\n")
	}
	t.b.WriteString("- ")
	fmt.Fprintf(&t.b, format, args...)
}

// findings tells what is found: the fault first, then what would satisfy.
func (t *text) findings(list []*lint.Finding) {
	for _, f := range list {
		head := string(f.Severity)
		if f.Waived != nil {
			head += ", waived"
		}
		s := fmt.Sprintf("**%s**: %s `%s`", head, f.Message, f.Rule)
		if f.Section != "" {
			s += " · " + f.Section
		}
		t.para("%s", s)
		if n := len(f.Copies); n > 1 {
			t.line("in %d copies", n)
		}
		if f.Waived != nil {
			t.line("waived because %s", f.Waived.Because)
			continue
		}
		if f.Remedy != "" {
			t.line("would satisfy: %s", f.Remedy)
		}
	}
}

// cite names where a limit stands, and what to know about it.
func cite(cells ...codebook.Cell) string {
	var out []string
	seen := map[string]bool{}
	memory := false
	for _, c := range cells {
		if !c.OK {
			continue
		}
		s := c.Section
		if c.Amended != "" {
			s += " as amended by " + c.Amended
		}
		memory = memory || c.Memory
		if s != "" && !seen[s] {
			seen[s] = true
			out = append(out, s)
		}
	}
	if memory {
		out = append(out, "from memory")
	}
	if len(out) == 0 {
		return ""
	}
	return " (" + strings.Join(out, ", ") + ")"
}

// closing is the last line of what speaks of limits.
func (p *Plan) closing() string {
	if p.Report == nil {
		return ""
	}
	b := p.Report.Book
	s := b.Title
	if len(b.Amendments) > 0 {
		s += " amended by " + strings.Join(b.Amendments, ", ")
	}
	return "*" + s + "; not an approval, verify against the adopted code*"
}

// length prints metres, with a sign where below zero.
func length(metres float64) string {
	if metres < -1e-9 {
		return "-" + quantity.FormatLength(-metres)
	}
	return quantity.FormatLength(max(metres, 0))
}

// orMore prints a sum of lengths that lacks some.
func orMore(metres float64, whole bool) string {
	switch {
	case whole:
		return length(metres)
	case metres == 0:
		return "length not known"
	}
	return length(metres) + " or more, a length is not written"
}

func sized(s quantity.Size) string {
	if s == 0 {
		return "size not known"
	}
	return quantity.FormatSize(s)
}

// from says where a number comes from that nobody wrote there.
func from(n system.Num) string {
	switch n.Origin {
	case system.Found:
		return "found on site"
	case system.Usual:
		return "usual"
	case system.Default:
		return "the plan's default"
	case system.Least:
		return "assumed, the code's least"
	case system.Worked:
		return "worked out from both ends"
	case system.Suit:
		return "to suit"
	case system.Target:
		return "as far as its target"
	case system.Datum:
		return "counted from elevation 0"
	case system.Derived:
		return "worked out"
	case system.Written:
		return "written"
	}
	return "not known"
}

// notWritten says that a fact is missing: `legs of KS to k1 are not written`.
func notWritten(what string) string {
	return strings.TrimPrefix(lint.Unwritten(what), "the ")
}

// number prints a number to so many decimals, without trailing zeros.
func number(v float64, decimals int) string {
	s := fmt.Sprintf("%.*f", decimals, v)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// units prints fixture or supply units.
func units(v float64) string {
	if s := sizing.Trim(v); s != "1" {
		return s + " units"
	}
	return "1 unit"
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// listed joins names, the first few of them.
func listed(names []string, most int) string {
	if len(names) > most+1 {
		return strings.Join(names[:most], ", ") + fmt.Sprintf(" and %d more", len(names)-most)
	}
	if len(names) > 1 {
		return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
	}
	return strings.Join(names, "")
}

// lower begins a title with a small letter; code words stay as they are.
func lower(s string) string {
	if len(s) > 1 && s[1] >= 'a' && s[1] <= 'z' {
		return strings.ToLower(s[:1]) + s[1:]
	}
	return s
}

const (
	inch = 0.0254 // metres
	foot = 12 * inch
)
