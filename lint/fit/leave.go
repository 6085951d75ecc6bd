package fit

import (
	"fmt"
	"slices"

	"crownweir/grammar/system"
	"crownweir/lint"
)

// reason is why a token is left.
type reason struct {
	why, remedy string
	finding     *lint.Finding
}

// leave takes tokens out that cannot be solved and tells whether there were
// any; the others are then fitted anew.
func (s *solver) leave(reasons map[*token]reason) bool {
	if len(reasons) == 0 || s.err() != nil {
		return false
	}
	var keep []*token
	for _, t := range s.tokens {
		r, gone := reasons[t]
		if !gone {
			keep = append(keep, t)
			continue
		}
		t.reason = r
		t.set(t.had)
		s.byRun[t.run] = without(s.byRun[t.run], t)
		s.left = append(s.left, t)
	}
	s.tokens = keep
	s.check()
	return true
}

// unasked are the tokens whose load or pressure is not known, and those at
// their smallest of which no rule asks anything.
func (s *solver) unasked() map[*token]reason {
	out := map[*token]reason{}
	if s.now.Case == nil {
		return out
	}
	var loose []*token
	unrated, unreckoned, serves := s.unrated(), s.unreckoned(), s.serving()
	for _, t := range s.tokens {
		f := unrated[t]
		r, doubt := s.doubt(t)
		w, waits := unreckoned[t]
		switch {
		case f != nil:
			out[t] = reason{why: fmt.Sprintf("the load of %s is not known", f.Name), remedy: fmt.Sprintf("write `units N` on %s", f.Name)}
		case doubt:
			out[t] = r
		case waits:
			out[t] = w
		case t.below() > 0 || s.judged[t]:
		case s.idles(t, serves):
			out[t] = reason{why: idleWords(s.pipes(t)) + ", and no rule asks a size of it", remedy: "write its size"}
		default:
			loose = append(loose, t)
		}
	}
	s.ask(loose)
	for _, t := range loose {
		if !s.judged[t] {
			out[t] = reason{why: "no rule asks a size of it", remedy: "write its size"}
		}
	}
	return out
}

func idleWords(pipes []*system.Pipe) string {
	if len(pipes) > 0 && pipes[0].Kind() == system.Vent {
		return "it serves no trap"
	}
	return "nothing flows through it"
}

// stuck are the tokens at which a breach of the code stays that is gone when
// they are left open: it is theirs, and no size mends it. So are those at which
// a rule waits for a fact only while they are sized: what is not known is not
// compliant.
func (s *solver) stuck() map[*token]reason {
	at := map[*token][]*lint.Finding{}
	for _, f := range breaches(s.now) {
		if f.Severity != lint.Correction || s.idle[f.ID] == f.Message {
			continue
		}
		for _, t := range s.own(f) {
			at[t] = append(at[t], f)
		}
	}
	out := map[*token]reason{}
	for _, t := range s.tokens {
		if r, ok := s.undecided(t); ok {
			out[t] = r
			continue
		}
		if len(at[t]) == 0 || s.err() != nil {
			continue
		}
		still := byID(s.reopened(t))
		for _, f := range at[t] {
			if still[f.ID] == nil {
				out[t] = reason{"no size satisfies: " + f.Message, f.Remedy, f}
				break
			}
		}
	}
	return out
}

// answer is a judgement's identity.
type answer struct{ rule, subject, missing string }

// answers counts the judgements of a report: the pipes of one tag go by one name.
func answers(r *lint.Report, keep func(lint.Judgement) bool) map[answer]int {
	out := map[answer]int{}
	for _, j := range r.Judgements() {
		if keep(j) {
			out[answer{j.Rule, j.Subject, j.Missing}]++
		}
	}
	return out
}

// ask notes of tokens whether any rule judges them that does not while they are
// open.
func (s *solver) ask(loose []*token) {
	now := answers(s.now, decided)
	for _, batch := range s.batches(loose, 0) {
		lost := s.lost(now, batch...)
		for _, t := range batch {
			for subject := range s.around(t) {
				s.judged[t] = s.judged[t] || lost[subject]
			}
			if !s.judged[t] {
				s.judged[t] = len(s.lost(now, t)) > 0
			}
		}
	}
}

func decided(j lint.Judgement) bool { return j.Rule != "unsized-run" && j.Answer != lint.Undecided }

// lost are the subjects of which a rule says less when tokens are left open.
func (s *solver) lost(now map[answer]int, tokens ...*token) map[string]bool {
	open := answers(s.reopened(tokens...), decided)
	out := map[string]bool{}
	for a, n := range now {
		if open[a] < n {
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

// around are the subjects of a token, of the pipe that findings take its own
// for, and of the fixtures at its ends.
func (s *solver) around(t *token) map[string]bool {
	out := s.subjects(t)
	for _, p := range s.pipes(t) {
		out[p.Line.Subject()] = true
		for _, n := range []*system.Node{p.From, p.To} {
			if f := n.Find(system.Fixture); f != nil {
				out[f.Name] = true
			}
		}
	}
	return out
}

// serving are the vents that traps or a stack ask a size of.
func (s *solver) serving() map[*system.Pipe]bool {
	out := map[*system.Pipe]bool{}
	for _, v := range s.now.Case.VentSizes() {
		out[v.Pipe] = v.Need > 0
	}
	return out
}

// idles tells whether nothing flows through a token's pipes.
func (s *solver) idles(t *token, serves map[*system.Pipe]bool) bool {
	c := s.now.Case
	return !slices.ContainsFunc(s.pipes(t), func(p *system.Pipe) bool {
		switch kind := p.Kind(); {
		case kind == system.Vent:
			return serves[p]
		case kind == system.Return:
			return true
		case kind.Water():
			l := c.Water().Of(p)
			return l.Fixtures > 0 || l.Units > 0 || c.Pressure().Of(p).Grid > 0
		}
		l := c.Ledger.Of(p)
		return l.Fixtures > 0 || l.Units > 0
	})
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
