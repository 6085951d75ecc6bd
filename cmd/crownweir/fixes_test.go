package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/lint"
)

// A drain that begins in an included file and goes on in the plan is one pipe:
// its fix lies in both.
const (
	flatBath = "typical bath\nfixture LV lavatory\ndrain LV to b1 1-1/2\": trap, west 2'\nvent b1 to v1 1-1/2\": up to 44\"\n" +
		"drain b1 to out 2\": down 1', south 3' fall 1/8\nend\n"
	flatHouse = `plan "Teasel Yard, house 6"
code upc-2021
default drain abs
default fall 1/4
level ground at 0'
roof at 12'
include "parts/bath.weir"
outfall SEW at -4'
terminal V1 roof rise 12"
place bath as B1 on ground
vent B1.v1 to V1 1-1/2": up to roof
drain B1.out to d1 2": south 8' fall 1/8
drain d1 to d2 3": down to -2', cleanout, south 5'
sewer d2 to SEW 4": cleanout, south 20'
`
)

// position is a byte of a text, from a line and a column in code points.
func position(source string, at lint.Position) int {
	lines := strings.SplitAfter(source, "\n")
	line := []rune(lines[at.Line-1])
	return len(strings.Join(lines[:at.Line-1], "")) + len(string(line[:at.Column-1]))
}

// What the machine formats say of a fix is enough to make it, in every file.
func TestFixOfSeveralFiles(t *testing.T) {
	dir := folder(t, map[string]string{"yard/house.weir": flatHouse, "yard/parts/bath.weir": flatBath})
	check := func(format string) outcome {
		return command(t, theLibrary(), "", "check", "--only", "flat-drain", "--format", format, filepath.Join("yard", "house.weir"))
	}
	var log struct {
		Runs []struct {
			Results []struct {
				Fixes []struct {
					ArtifactChanges []struct {
						ArtifactLocation struct{ URI string }
						Replacements     []any
					}
				}
			}
		}
	}
	require.NoError(t, json.Unmarshal([]byte(check("sarif").stdout), &log))
	require.Len(t, log.Runs[0].Results, 1)
	require.Len(t, log.Runs[0].Results[0].Fixes, 1)
	var changed []string
	for _, change := range log.Runs[0].Results[0].Fixes[0].ArtifactChanges {
		assert.Len(t, change.Replacements, 1)
		changed = append(changed, change.ArtifactLocation.URI)
	}
	slices.Sort(changed)
	assert.Equal(t, []string{"yard/house.weir", "yard/parts/bath.weir"}, changed)

	var got struct{ Findings []lint.Finding }
	require.NoError(t, json.Unmarshal([]byte(check("json").stdout), &got))
	require.Len(t, got.Findings, 1)
	require.Len(t, got.Findings[0].Fixes, 1)
	edits := got.Findings[0].Fixes[0].Edits
	require.Len(t, edits, 2)
	sort.Slice(edits, func(i, j int) bool { return edits[i].Start.Line > edits[j].Start.Line })
	for _, e := range edits {
		file := filepath.Join(dir, filepath.FromSlash(e.File))
		source, err := os.ReadFile(file)
		require.NoError(t, err)
		mended := string(source[:position(string(source), e.Start)]) + e.Text + string(source[position(string(source), e.End):])
		require.NoError(t, os.WriteFile(file, []byte(mended), 0o600))
	}
	require.NoError(t, json.Unmarshal([]byte(check("json").stdout), &got))
	assert.Empty(t, got.Findings)
}
