package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestSettingsFoundUpwards(t *testing.T) {
	files := map[string]string{
		"crownweir.toml":        "code = \"ipc-2021\"\nfail-on = \"never\"\nexclude = [\"drafts\", \"**/old-*.weir\"]\n",
		"a/b/house.weir":        "# FAULT\n",
		"a/b/old-house.weir":    "# FAULT\n",
		"drafts/deep/sk.weir":   "# FAULT\n",
		"strict/crownweir.toml": "fail-on = \"advice\"\n",
		"strict/hint.weir":      "# HINT\n",
	}
	folder(t, files)
	got := crownweir(t, "", "check", "a")
	assert.Empty(t, got.stderr)
	assert.Equal(t, statusClean, got.status, "fail-on = never")
	assert.Contains(t, got.stdout, "code book: UPC 2021 (ipc-2021, ")
	assert.Contains(t, got.stdout, "1 plan: 1 correction, ", "old-house is excluded")
	assert.Contains(t, crownweir(t, "", "check", ".").stdout, "2 plans: 1 correction, ")
	assert.Contains(t, crownweir(t, "", "check", "drafts/deep/sk.weir").stdout, "1 plan: 1 correction, ", "what is named is judged")
	assert.Equal(t, statusFindings, crownweir(t, "", "check", "strict").status, "the nearest settings hold")
	assert.Equal(t, statusFindings, crownweir(t, "", "check", "--fail-on", "correction", "a").status, "the command line goes first")
	assert.Contains(t, crownweir(t, "", "check", "--code", "upc-2021", "a").stdout, "(upc-2021, ")
	assert.Contains(t, crownweir(t, "", "check", "--stdin-name", "a/x.weir", "-").stdout, "(ipc-2021, ")
}

func TestSettingsReachTheLibrary(t *testing.T) {
	folder(t, map[string]string{
		"crownweir.toml": "only = [\"long-trap-arm\"]\nskip = [\"odd-height\"]\n[severity]\nmissing-fact = \"off\"\n",
		"a.weir":         "",
	})
	s, err := (&configs{books: []string{"upc-2021"}, rules: []string{"long-trap-arm", "odd-height", "missing-fact"}}).of(".")
	assert.NoError(t, err)
	opts, _, _ := judge{}.with(s, nil)
	assert.Equal(t, []string{"long-trap-arm"}, opts.Only)
	assert.Equal(t, []string{"odd-height"}, opts.Skip)
	assert.Equal(t, map[string]string{"missing-fact": "off"}, opts.Severities)
}

// Settings that cannot be read are told once, with their place, and what
// stands under them is not judged by other settings instead.
func TestSettingsErrors(t *testing.T) {
	for _, c := range []struct{ name, toml, want string }{
		{"syntax", "code = \n", "crownweir.toml:1:8: "},
		{"unknown key", "# x\n\ncod = \"upc-2021\"\n", "crownweir.toml:3:1: there is no setting \"cod\"; did you mean \"code\"; use code, amend, fail-on, only, skip, severity or exclude\n"},
		{"wrong kind", "only = \"x\"\n", "crownweir.toml:1:8: only takes a list of rules\n"},
		{"wrong kind within", "exclude = [1]\n", "crownweir.toml:1:12: exclude takes a list of patterns\n"},
		{"book", "\ncode = \"upc-1999\"\n", "crownweir.toml:2:9: code has no \"upc-1999\"; use ipc-2021 or upc-2021\n"},
		{"fail-on", "fail-on = \"always\"\n", "crownweir.toml:1:12: fail-on has no \"always\"; use correction, caution, advice or never\n"},
		{"rule", "skip = [\n  \"odd-hight\",\n]\n", "crownweir.toml:2:4: there is no rule \"odd-hight\"; did you mean \"odd-height\"; crownweir rules lists them\n"},
		{"severity", "[severity]\nodd-height = \"error\"\n", "crownweir.toml:2:15: severity has no \"error\"; use correction, caution, advice or off\n"},
		{"severity's rule", "[severity]\nodd-hight = \"off\"\n", "crownweir.toml:2:1: there is no rule \"odd-hight\"; did you mean \"odd-height\"; crownweir rules lists them\n"},
		{"pattern", "exclude = [\"[a-\"]\n", "crownweir.toml:1:13: \"[a-\" is no pattern that can be read; check its brackets and braces\n"},
		{"amendment", "amend = [\"city.toml\"]\n", "crownweir.toml:1:11: amend \"city.toml\": does not exist; check the name\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			folder(t, map[string]string{"crownweir.toml": c.toml, "a.weir": "# FAULT\n", "b.weir": "# FAULT\n", "deep/c.weir": "# FAULT\n"})
			got := crownweir(t, "", "check", "-q", ".")
			assert.Regexp(t, "^crownweir: [^\n]+\n$", got.stderr)
			assert.Contains(t, got.stderr, "crownweir: "+c.want)
			assert.Equal(t, statusMisused, got.status)
			assert.Contains(t, got.stdout, "0 plans: ")
		})
	}
}
