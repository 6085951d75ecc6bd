package closing

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"crownweir/lint"
)

func TestLines(t *testing.T) {
	verdicts := map[string]lint.Count{"a": {Complies: 390, Breaks: 6}, "b": {Complies: 8, Undecided: 8}}
	books := []lint.BookUse{
		{Name: "ipc-2021", Title: "IPC 2021", Edition: 2021, LimitsUsed: 1},
		{Name: "upc-2021", Title: "UPC 2021", Edition: 2021, LimitsUsed: 41, FromMemory: 3, Amendments: []string{"county.toml", "city.toml"}},
	}
	assert.Equal(t, []string{
		"412 requirements judged: 398 comply, 6 break, 8 undecided",
		"2 facts are written as unknown",
		"outside: fuel gas, accessibility, structure, energy, materials' listings",
		"code book: IPC 2021 (ipc-2021, edition 2021), no amendments; 1 limit used, 0 of them from memory",
		"code book: UPC 2021 (upc-2021, edition 2021), amended by county.toml, city.toml; 41 limits used, 3 of them from memory",
		"not an approval; the authority having jurisdiction decides; work by licensed practice; verify against the adopted code",
	}, Lines(Sum(verdicts), 2, books))
	assert.Len(t, Lines(lint.Count{}, 0, nil), 3, "no line about unknown facts where there are none")
}
