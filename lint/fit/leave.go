package fit

import (
	"fmt"
	"slices"

	"crownweir/grammar/system"
	"crownweir/lint"
)

// leave takes out the tokens that cannot be solved: what loads them is not
// known, no rule asks anything of them, or every size leaves a fault at them.
// It tells whether there were any; the others are then fitted anew.
func (s *solver) leave() bool {
	if s.err() != nil {
		return false
	}
	stuck, asked := s.stuck(), s.asked()
	var keep, gone []*token
	for _, t := range s.tokens {
		t.why, t.remedy, t.finding = "", "", nil
		switch {
		case s.doubted(t):
		case stuck[t] != nil:
			t.why, t.finding = "no size satisfies: "+stuck[t].Message, stuck[t]
			t.remedy = stuck[t].Remedy
		case t.bound == nil && s.idles(t):
			t.why, t.remedy = "nothing flows through it, and no rule asks a size of it", "write its size"
		case t.bound == nil && !asked[t]:
			t.why, t.remedy = "no rule asks a size of it", "write its size"
		default:
			keep = append(keep, t)
			continue
		}
		gone = append(gone, t)
	}
	for _, t := range gone {
		t.set(t.had)
		t.bound = nil
		s.byRun[t.run] = without(s.byRun[t.run], t)
	}
	s.left = append(s.left, gone...)
	s.tokens = keep
	if len(gone) > 0 {
		s.check()
	}
	return len(gone) > 0
}

// stuck finds the tokens at which a breach of the code stays that is gone when
// they are left open: it is theirs, and no size mends it.
func (s *solver) stuck() map[*token]*lint.Finding {
	at := map[*token][]*lint.Finding{}
	for _, f := range breaches(s.now) {
		if f.Severity != lint.Correction || s.idle[f.ID] == f.Message {
			continue
		}
		for _, t := range s.own(f) {
			at[t] = append(at[t], f)
		}
	}
	out := map[*token]*lint.Finding{}
	for _, t := range s.tokens {
		if len(at[t]) == 0 || s.err() != nil {
			continue
		}
		still := placesOf(s.reopened(t))
		for _, f := range at[t] {
			if _, stays := still[f.ID]; !stays {
				out[t] = f
				break
			}
		}
	}
	return out
}

// answer is a judgement's identity.
type answer struct{ rule, subject, missing string }

func answers(r *lint.Report, keep func(lint.Judgement) bool) map[answer]bool {
	out := map[answer]bool{}
	for _, j := range r.Judgements {
		if keep(j) {
			out[answer{j.Rule, j.Subject, j.Missing}] = true
		}
	}
	return out
}

// asked tells of the tokens that nothing keeps from being smaller whether any
// rule judges them that does not while they are open.
func (s *solver) asked() map[*token]bool {
	out := map[*token]bool{}
	var loose []*token
	for _, t := range s.tokens {
		if t.bound == nil && !s.idles(t) {
			loose = append(loose, t)
		}
	}
	now := answers(s.now, decided)
	for _, batch := range s.batches(loose) {
		lost := s.lost(now, batch...)
		for _, t := range batch {
			if len(batch) > 1 {
				for subject := range s.subjects(t) {
					out[t] = out[t] || lost[subject]
				}
				if out[t] {
					continue
				}
				lost = s.lost(now, t)
			}
			out[t] = len(lost) > 0
		}
	}
	return out
}

func decided(j lint.Judgement) bool { return j.Rule != "unsized-run" && j.Answer != lint.Undecided }

// lost are the subjects of which a rule no longer says anything when tokens are
// left open.
func (s *solver) lost(now map[answer]bool, tokens ...*token) map[string]bool {
	open := answers(s.reopened(tokens...), decided)
	out := map[string]bool{}
	for a := range now {
		if !open[a] {
			out[a.subject] = true
		}
	}
	return out
}

// subjects are the names that judgements of a token's pipes and traps go by.
func (s *solver) subjects(t *token) map[string]bool {
	out := map[string]bool{}
	for _, p := range s.pipes(t) {
		out[p.Run.Subject()] = true
	}
	for _, trap := range s.now.System.Traps {
		if trap.Pipe.Run.Stmt == t.run {
			for _, f := range trap.Fixtures {
				out[f.Name] = true
			}
		}
	}
	return out
}

// idles tells whether nothing flows through a token's pipes.
func (s *solver) idles(t *token) bool {
	for _, p := range s.pipes(t) {
		c := s.now.Case
		switch kind := p.Kind(); {
		case kind == system.Vent:
			if c.Vents.Load(p).Traps > 0 {
				return false
			}
		case kind == system.Return:
			return false
		case kind.Water():
			if l := c.Water().Of(p); l.Fixtures > 0 || l.Units > 0 {
				return false
			}
		default:
			if l := c.Ledger.Of(p); l.Fixtures > 0 || l.Units > 0 {
				return false
			}
		}
	}
	return true
}

func (s *solver) pipes(t *token) []*system.Pipe {
	var out []*system.Pipe
	for _, p := range s.now.System.Pipes {
		if p.Run.Stmt == t.run {
			out = append(out, p)
		}
	}
	return out
}

// doubted notes why a token cannot be sized although sizes may satisfy every
// rule: what is not known is not compliant.
func (s *solver) doubted(t *token) bool {
	if s.now.Case == nil {
		return false
	}
	for _, p := range s.pipes(t) {
		if p.From.Circle || p.To.Circle {
			t.why, t.remedy = "it lies on a circle of runs", "turn round the run that is written the wrong way"
			return true
		}
		if s.loadUnknown(t, p) || s.pressureUnknown(t, p) {
			return true
		}
	}
	return s.undecided(t)
}

func (s *solver) loadUnknown(t *token, p *system.Pipe) bool {
	c := s.now.Case
	switch kind := p.Kind(); {
	case kind == system.Vent:
		return false
	case kind.Water():
		if c.Water().Of(p).Unknown > 0 {
			t.why, t.remedy = "the supply units of a fixture that it feeds are not known", "write `water-units N` on the fixture"
		}
	case c.Ledger.Of(p).Unknown > 0:
		t.why, t.remedy = "what loads it is not known", "write `units N` on it"
		for _, f := range c.Vents.Upstream(p, 1000) {
			if c.Ledger.Fixture(f).Load.Unknown > 0 {
				t.why, t.remedy = fmt.Sprintf("the load of %s is not known", f.Name), fmt.Sprintf("write `units N` on %s", f.Name)
				break
			}
		}
	}
	return t.why != ""
}

// pressureUnknown: the supply table cannot be read for the source of a pipe
// that feeds several fixtures.
func (s *solver) pressureUnknown(t *token, p *system.Pipe) bool {
	c := s.now.Case
	if !p.Kind().Water() || p.Kind() == system.Return || c.Sys.Header.Method == "engineered" {
		return false
	}
	w := c.Water()
	src := w.SourceOf(p.From)
	if src == nil {
		t.why, t.remedy = "no source feeds it", "bring it to a `main`, a `heater` or an `existing supply`"
		return true
	}
	if w.Of(p).Fixtures < 2 && p.Kind() != system.Service {
		return false
	}
	switch way, ok := w.TableWay(src); {
	case !ok:
	case way.Missing != "":
		t.why, t.remedy = fmt.Sprintf("the %s is not written", way.Missing), "write it"
	case way.Low:
		t.why, t.remedy = fmt.Sprintf("the pressure that is left of %s lies below the supply table", src.Name), "write `method engineered`, or raise the pressure"
	case way.Long:
		t.why, t.remedy = fmt.Sprintf("the way from %s is longer than the supply table", src.Name), "write `method engineered`"
	}
	return t.why != ""
}

// undecided: a rule judges the token's pipes or traps only while it is sized,
// and waits for a fact.
func (s *solver) undecided(t *token) bool {
	subjects := s.subjects(t)
	waits := func(j lint.Judgement) bool { return j.Answer == lint.Undecided && subjects[j.Subject] }
	if !slices.ContainsFunc(s.now.Judgements, waits) {
		return false
	}
	open := answers(s.reopened(t), waits)
	for _, j := range s.now.Judgements {
		if !waits(j) || open[answer{j.Rule, j.Subject, j.Missing}] {
			continue
		}
		t.why, t.remedy = j.Message, "write what it waits for"
		if j.Missing != "" {
			t.why = fmt.Sprintf("the %s is not written; %s waits for it", j.Missing, j.Rule)
		}
		return true
	}
	return false
}
