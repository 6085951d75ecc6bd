package grammar

import (
	"flag"
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"crownweir/grammar/quantity"
)

var update = flag.Bool("update", false, "write the expected files anew")

// golden compares text with a file under testdata, or writes it.
func golden(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
		return
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(want), got, "run: go test ./grammar -update")
}

// show prints a value's fields that are not zero, without spans.
func show(v any) string {
	var b strings.Builder
	showValue(&b, reflect.ValueOf(v))
	return b.String()
}

func showValue(b *strings.Builder, v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			showValue(b, v.Elem())
		}
		return
	case reflect.Slice:
		b.WriteString("[")
		for i := range v.Len() {
			if i > 0 {
				b.WriteString(", ")
			}
			showValue(b, v.Index(i))
		}
		b.WriteString("]")
		return
	case reflect.Struct:
	default:
		fmt.Fprintf(b, "%v", v.Interface())
		return
	}
	switch x := v.Interface().(type) {
	case Word:
		fmt.Fprintf(b, "%q", x.Text)
		return
	case quantity.Value:
		fmt.Fprintf(b, "%s(%s)", x.Canonical(), strings.TrimLeft(strings.TrimPrefix(strings.TrimPrefix(x.Kind.String(), "a "), "an "), " "))
		return
	case Qty:
		showValue(b, reflect.ValueOf(x.Value))
		return
	case Ref:
		b.WriteString(x.String())
		return
	case Height:
		showValue(b, reflect.ValueOf(x.Value.Value))
		if x.Rel != "" {
			fmt.Fprintf(b, " %s %s (%.4g m)", x.Rel, x.Of.Text, x.Value.SI)
		}
		return
	case Operand:
		switch x.Kind {
		case OperandQty:
			showValue(b, reflect.ValueOf(x.Qty))
		case OperandTuple:
			showValue(b, reflect.ValueOf(x.Tuple))
		default:
			b.WriteString(x.Text)
		}
		return
	case Attr:
		b.WriteString(x.Key)
		if len(x.Values) > 0 {
			b.WriteString("=")
			showValue(b, reflect.ValueOf(x.Values))
		}
		return
	}
	b.WriteString(strings.TrimPrefix(v.Type().Name(), "grammar.") + "{")
	first := true
	for i := range v.NumField() {
		f := v.Type().Field(i)
		if v.Field(i).IsZero() || f.Name == "Span" || f.Name == "Aim" && *v.Field(i).Interface().(*Aim) == (Aim{}) {
			continue
		}
		if f.Name == "Base" {
			fmt.Fprintf(b, "%s", v.Field(i).Interface().(Base).Key.Text)
			first = false
			continue
		}
		if !first {
			b.WriteString(" ")
		}
		first = false
		b.WriteString(f.Name + ":")
		switch x := v.Field(i).Interface().(type) {
		case ItemKind:
			b.WriteString([]string{"leg", "device", "turn", "picks-up", "enters"}[x])
		case TargetKind:
			b.WriteString([]string{"length", "height", "roof", "point", "suit"}[x])
		default:
			showValue(b, v.Field(i))
		}
	}
	b.WriteString("}")
}

// problemsText prints the problems of a source, one a line, with the words
// they mark.
func problemsText(f *File) string {
	var b strings.Builder
	m := NewMapper(f.Source)
	for _, p := range f.Problems {
		line, column := m.Position(p.Span.Start)
		fmt.Fprintf(&b, "%d:%d [%s] %s: %s; %s", line, column, f.Source[p.Span.Start:p.Span.End], p.Rule, p.Message, p.Remedy)
		if p.Suggest != "" {
			fmt.Fprintf(&b, " => %s", p.Suggest)
		}
		b.WriteString("\n")
	}
	return b.String()
}

// statementsText shows the statements of a file, one a line.
func statementsText(f *File) string {
	var b strings.Builder
	for _, s := range f.Statements {
		b.WriteString(show(s) + "\n")
	}
	return b.String()
}
