// Package editors holds what each editor is given, and tests alone: what can
// be told of these files without the editor. The editors themselves are driven
// by .ci/editors.
package editors

import (
	"encoding/json"
	"encoding/xml"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar"
	"crownweir/lint"
)

// shipped is every file below a folder that is written by hand or generated,
// none that is built or fetched.
func shipped(t *testing.T) []string {
	t.Helper()
	var list []string
	err := filepath.WalkDir(".", func(name string, entry fs.DirEntry, err error) error {
		if err == nil && entry.IsDir() && slices.Contains([]string{"node_modules", "dist", "bin"}, entry.Name()) {
			return fs.SkipDir
		}
		if err == nil && !entry.IsDir() {
			list = append(list, filepath.ToSlash(name))
		}
		return err
	})
	require.NoError(t, err)
	return list
}

func read(t *testing.T, name string) []byte {
	t.Helper()
	content, err := os.ReadFile(filepath.FromSlash(name))
	require.NoError(t, err)
	return content
}

func TestFilesAreWellFormed(t *testing.T) {
	seen := map[string]int{}
	for _, name := range shipped(t) {
		var anything any
		switch extension := path.Ext(name); extension {
		case ".json", ".sublime-build":
			assert.NoError(t, json.Unmarshal(read(t, name), &anything), name)
			seen[extension]++
		case ".toml":
			assert.NoError(t, toml.Unmarshal(read(t, name), &anything), name)
			seen[extension]++
		case ".xml", ".svg", ".tmPreferences":
			assert.NoError(t, wellFormed(string(read(t, name))), name)
			seen[extension]++
		}
	}
	for _, extension := range []string{".json", ".sublime-build", ".toml", ".xml", ".svg", ".tmPreferences"} {
		assert.Positive(t, seen[extension], extension)
	}
}

func wellFormed(source string) error {
	decoder := xml.NewDecoder(strings.NewReader(source))
	for {
		if _, err := decoder.Token(); err == io.EOF {
			return nil
		} else if err != nil {
			return err
		}
	}
}

func TestHelix(t *testing.T) {
	var config struct {
		Server map[string]struct {
			Command string
			Args    []string
		} `toml:"language-server"`
		Language []struct {
			Name    string
			Types   []string `toml:"file-types"`
			Servers []string `toml:"language-servers"`
			Comment string   `toml:"comment-tokens"`
			Needs   []string `toml:"required-root-patterns"`
		}
	}
	require.NoError(t, toml.Unmarshal(read(t, "helix/languages.toml"), &config))
	require.Len(t, config.Language, 1)
	language := config.Language[0]
	assert.Equal(t, "weir", language.Name)
	assert.Equal(t, []string{"weir"}, language.Types)
	assert.Equal(t, "#", language.Comment)
	assert.Empty(t, language.Needs, "a plan outside any project has findings too")
	for _, name := range language.Servers {
		assert.Equal(t, []string{"lsp"}, config.Server[name].Args)
		assert.Equal(t, "crownweir", config.Server[name].Command)
	}
}

func TestLSP4IJ(t *testing.T) {
	var template struct {
		ID          string
		Name        string
		ProgramArgs map[string]string
		Mappings    []struct {
			FileType   struct{ Patterns []string }
			LanguageID string
		} `json:"fileTypeMappings"`
	}
	require.NoError(t, json.Unmarshal(read(t, "jetbrains/crownweir/template.json"), &template))
	assert.NotEmpty(t, template.ID)
	assert.NotEmpty(t, template.Name)
	assert.Equal(t, map[string]string{"default": "crownweir lsp", "windows": "crownweir.exe lsp"}, template.ProgramArgs)
	require.Len(t, template.Mappings, 1)
	assert.Equal(t, []string{"*.weir"}, template.Mappings[0].FileType.Patterns)
	assert.Equal(t, "weir", template.Mappings[0].LanguageID)
}

// manifest is what is looked at of the extension's package.json.
type manifest struct {
	Icon         string
	Main         string
	Version      string
	Engines      struct{ VSCode string }
	Capabilities struct {
		Untrusted struct {
			Supported  string
			Restricted []string `json:"restrictedConfigurations"`
		} `json:"untrustedWorkspaces"`
	}
	Contributes struct {
		Languages []struct {
			ID            string
			Extensions    []string
			Configuration string
			Icon          struct{ Light, Dark string }
		}
		Grammars      []struct{ Language, ScopeName, Path string }
		Snippets      []struct{ Language, Path string }
		Commands      []struct{ Command, Title string }
		Configuration struct {
			Properties map[string]struct{ Type any }
		}
		Patterns []struct {
			Name, Regexp                      string
			File, Line, Column, Message, Code int
		} `json:"problemPatterns"`
		Matchers []struct{ Name, Owner, Severity, Pattern, ApplyTo string } `json:"problemMatchers"`
	}
}

func extension(t *testing.T) manifest {
	t.Helper()
	var m manifest
	require.NoError(t, json.Unmarshal(read(t, "vscode/package.json"), &m))
	return m
}

func TestExtensionNamesWhatThereIs(t *testing.T) {
	m := extension(t)
	files := []string{m.Icon}
	for _, language := range m.Contributes.Languages {
		assert.Equal(t, "weir", language.ID)
		assert.Equal(t, []string{".weir"}, language.Extensions)
		files = append(files, language.Configuration, language.Icon.Light, language.Icon.Dark)
	}
	for _, grammar := range m.Contributes.Grammars {
		assert.Equal(t, "source.weir", grammar.ScopeName)
		files = append(files, grammar.Path)
	}
	for _, snippets := range m.Contributes.Snippets {
		files = append(files, snippets.Path)
	}
	assert.Len(t, files, 6)
	for _, file := range files {
		assert.FileExists(t, filepath.Join("vscode", filepath.FromSlash(file)))
	}

	// every command and setting of the sources is declared, and the other way round
	source := string(read(t, "vscode/src/extension.js")) + string(read(t, "vscode/src/check.js"))
	registered := regexp.MustCompile(`registerCommand\('(weir\.[A-Za-z]+)'`).FindAllStringSubmatch(source, -1)
	var commands, declared []string
	for _, found := range registered {
		commands = append(commands, found[1])
	}
	for _, command := range m.Contributes.Commands {
		declared = append(declared, command.Command)
	}
	assert.ElementsMatch(t, declared, commands)
	for _, setting := range []string{"server.path", "server.args"} {
		assert.Contains(t, source, "get('"+setting+"')")
		assert.Contains(t, m.Contributes.Configuration.Properties, "weir."+setting)
		assert.Contains(t, m.Capabilities.Untrusted.Restricted, "weir."+setting, "a folder must not name a program before it is trusted")
	}
	assert.Equal(t, "limited", m.Capabilities.Untrusted.Supported)
}

// A finding's first line, as the README shows the program's own output, is
// read by the extension's patterns, Sublime Text's and Vim's alike.
func TestFindingsAreRead(t *testing.T) {
	page := string(read(t, "../README.md"))
	lines := regexp.MustCompile(`(?m)^testdata/demo/.*: correction: .*$`).FindAllString(page, -1)
	require.Len(t, lines, 2)
	m := extension(t)
	severities := []string{string(lint.Correction), string(lint.Caution), string(lint.Advice)}
	require.Len(t, m.Contributes.Patterns, len(severities))
	for i, pattern := range m.Contributes.Patterns {
		assert.Equal(t, "crownweir-"+severities[i], pattern.Name)
		assert.Equal(t, "$"+pattern.Name, m.Contributes.Matchers[i].Pattern)
		assert.Equal(t, "closedDocuments", m.Contributes.Matchers[i].ApplyTo, "an open plan's findings are the server's")
		read := regexp.MustCompile(pattern.Regexp)
		for _, line := range lines {
			line = strings.Replace(line, ": correction: ", ": "+severities[i]+": ", 1)
			parts := read.FindStringSubmatch(line)
			require.NotNil(t, parts, "%s does not read %s", pattern.Name, line)
			assert.Equal(t, "testdata/demo/juniper-court.weir", parts[pattern.File])
			assert.Regexp(t, `^\d+$`, parts[pattern.Line])
			assert.Regexp(t, `^\d+$`, parts[pattern.Column])
			assert.Regexp(t, `^(trap arm|vent k1)`, parts[pattern.Message])
			assert.Regexp(t, `^(long-trap-arm|low-vent-turn)$`, parts[pattern.Code])
		}
		assert.False(t, read.MatchString("1 plan: 2 corrections, 0 cautions, 0 pieces of advice, 0 waived"))
	}
	var build struct {
		Regexp string `json:"file_regex"`
	}
	require.NoError(t, json.Unmarshal(read(t, "sublime/Weir.sublime-build"), &build))
	assert.Len(t, regexp.MustCompile(build.Regexp).FindStringSubmatch(lines[0]), 5)
}

func TestWordPattern(t *testing.T) {
	var config struct {
		Word string `json:"wordPattern"`
	}
	require.NoError(t, json.Unmarshal(read(t, "vscode/language-configuration.json"), &config))
	word := regexp.MustCompile(`^(?:` + config.Word + `)`)
	for _, token := range []string{`1-1/2"`, `2'6"`, `-6'`, `B2.WC1`, `F3..F12`, `water-closet`, `1/4"/ft`, `éclair`} {
		assert.Equal(t, token, word.FindString(token+", next"))
	}
	assert.Empty(t, word.FindString(""), "a word is never empty")
}

// What a snippet writes is read by the parser without a problem, with the
// first choice and the proposed words left in place.
func TestSnippetsAreOfTheNotation(t *testing.T) {
	var snippets map[string]struct {
		Prefix, Description string
		Body                []string
	}
	require.NoError(t, json.Unmarshal(read(t, "vscode/snippets/weir.json"), &snippets))
	assert.Greater(t, len(snippets), 8)
	prefixes := map[string]bool{}
	for name, snippet := range snippets {
		assert.NotEmpty(t, snippet.Description, name)
		assert.False(t, prefixes[snippet.Prefix], "%s stands twice", snippet.Prefix)
		prefixes[snippet.Prefix] = true
		text := expanded(strings.Join(snippet.Body, "\n"))
		assert.NotContains(t, text, "$", name)
		file := grammar.Parse(name, text+"\n")
		assert.Empty(t, file.Problems, "%s:\n%s", name, text)
		assert.NotEmpty(t, file.Statements, name)
		laidOut, _ := grammar.Format(file)
		assert.Equal(t, strings.TrimRight(text, "\n"), strings.TrimRight(laidOut, "\n"), "%s is laid out", name)
	}
}

func expanded(body string) string {
	body = regexp.MustCompile(`\$\{\d+\|([^,|]*)[^|]*\|\}`).ReplaceAllString(body, "$1")
	body = regexp.MustCompile(`\$\{\d+:([^}]*)\}`).ReplaceAllString(body, "$1")
	body = strings.NewReplacer("${CURRENT_YEAR}", "2026", "${CURRENT_MONTH}", "11", "${CURRENT_DATE}", "25").Replace(body)
	return regexp.MustCompile(`\$\d`).ReplaceAllString(body, "")
}
