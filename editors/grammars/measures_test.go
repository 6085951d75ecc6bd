package grammars

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar/quantity"
)

// The patterns below are read alike by every engine that they are written
// for: Oniguruma, PCRE, RE2 as they stand, Emacs and Vim through dialect.
const (
	namePart    = `\p{L}[\p{L}0-9_-]*`
	namePattern = namePart + `(?:\.` + namePart + `)*`
	refPattern  = namePattern + `(?:\.\.` + namePattern + `)?`
	datePattern = `[0-9]{4}-[0-9]{2}-[0-9]{2}`
)

// measurePattern is a quantity. Typographic marks are taken as those of the
// keyboard are.
var measurePattern = func() string {
	const (
		whole    = `[0-9]+`
		decimal  = `[0-9]+\.[0-9]+`
		vulgar   = `[½¼¾⅓⅔⅛⅜⅝⅞]`
		fraction = `(?:[0-9]+[/⁄][0-9]+|` + vulgar + `)`
		mixed    = `(?:[0-9]+[-−–][0-9]+[/⁄][0-9]+|[0-9]+` + vulgar + `)`
		any      = `(?:` + mixed + `|` + fraction + `|` + decimal + `|` + whole + `)`
		plain    = `(?:` + decimal + `|` + whole + `)`
		foot     = `['′’]`
		inch     = `["″”]`
		minus    = `[-−–]`
	)
	return minus + `?(?:` + strings.Join([]string{
		whole + foot + `(?:` + minus + `?` + any + inch + `)?`,
		decimal + foot,
		any + `(?:` + inch + `|in)(?:[/⁄]ft)?`,
		plain + `(?:` + strings.Join(units(), `|`) + `)?`,
		fraction,
	}, `|`) + `)`
}()

// units are the units that stand behind a whole or a decimal number.
func units() []string {
	return []string{"ft", "mm/m", "mm", "cm", "m", "%", "psi", "kPa", "bar", "gpm", "L/s", "gal", "L", "F", "C", "min"}
}

func TestMeasuresAsTheNotationReadsThem(t *testing.T) {
	anchored := regexp.MustCompile(`^(?:` + measurePattern + `)$`)
	read, refused := 0, 0
	for _, token := range append(tokensOfPlans(t), measuresOfTheNotation(t)...) {
		_, ok := quantity.Parse(token)
		assert.Equal(t, ok, anchored.MatchString(token), "%q", token)
		if ok {
			read++
		} else {
			refused++
		}
	}
	assert.Greater(t, read, 500)
	assert.Greater(t, refused, 500)
	for _, token := range []string{`2'6½″`, `½"`, `1½"`, `-2'-6"`, `2′`, `−3'`, `1/4"/ft`, `1.28gal`} {
		assert.True(t, anchored.MatchString(token), token)
		_, ok := quantity.Parse(token)
		assert.True(t, ok, token)
	}
	for _, token := range []string{`2'6`, `"`, `2.5'6"`, `1-1/2ft`, `2inch`, `x2"`, `2"x`, `1/2'`, `--2"`, `2x8`} {
		assert.False(t, anchored.MatchString(token), token)
		_, ok := quantity.Parse(token)
		assert.False(t, ok, token)
	}
}

// Every unit of the notation is among those written down here: its page's
// table of measures is read, so that a new one fails until it is coloured.
func measuresOfTheNotation(t *testing.T) []string {
	t.Helper()
	var list []string
	in := false
	for _, line := range notation(t) {
		if strings.HasPrefix(line, "## ") {
			in = line == "## Measures"
		}
		if !in || !strings.HasPrefix(line, "|") {
			continue
		}
		for _, quoted := range regexp.MustCompile("`([^` ]+)`").FindAllStringSubmatch(line, -1) {
			list = append(list, quoted[1])
		}
	}
	require.Greater(t, len(list), 20)
	return list
}

// notation is the lines of the notation's page.
func notation(t *testing.T) []string {
	t.Helper()
	page, err := os.ReadFile("../../grammar/NOTATION.md")
	require.NoError(t, err)
	return strings.Split(string(page), "\n")
}
