package main

import (
	"encoding/json"
	"os"
	"path"

	"crownweir/lint"
	"crownweir/lsp/settings"
)

// baseline is findings that are known, by file and id.
type baseline map[[2]string]bool

func (b baseline) has(f lint.Finding) bool { return b[[2]string{path.Clean(f.File), f.ID}] }

// readBaseline reads what `check --format json` wrote, or an array of
// findings; of each only its id and file count. "" is no baseline.
func readBaseline(name string) (baseline, error) {
	if name == "" {
		return nil, nil
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, misused("--baseline %s: %v", name, reason(err))
	}
	defer f.Close()
	content, err := settings.ReadLimited(f)
	if err != nil {
		return nil, misused("--baseline %s: %v", name, err)
	}
	type entry struct {
		ID   string `json:"id"`
		File string `json:"file"`
	}
	var report struct {
		Findings *[]entry `json:"findings"`
	}
	var entries []entry
	if json.Unmarshal(content, &entries) != nil {
		if json.Unmarshal(content, &report) != nil || report.Findings == nil {
			return nil, misused("--baseline %s: is no list of findings; write it with check --format json", name)
		}
		entries = *report.Findings
	}
	known := baseline{}
	for i, e := range entries {
		if e.ID == "" || e.File == "" {
			return nil, misused("--baseline %s: finding %d has no id or no file; write it with check --format json", name, i+1)
		}
		known[[2]string{path.Clean(e.File), e.ID}] = true
	}
	return known, nil
}
