package rule

import (
	"fmt"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/sizing"
)

// longHotWait judges the pipe between hot water and each outlet by its length,
// where the book limits it, and by what it holds.
func longHotWait(c *Case) {
	if !c.Sys.Header.Water {
		return
	}
	far := c.Book.Number("hot-length-most")
	waits := c.Water().HotWaits()
	for i := range waits {
		w := &waits[i]
		f := w.Outlet.Point
		if f.Existing || w.Outlet.Pipe.Run.Existing || w.From == nil {
			continue
		}
		if far.OK && w.Length/feet > far.Value+eps {
			j := Judgement{Answer: Breaks, Severity: Caution, Subject: f.Name, Copy: f.Copy, Loc: f.Loc, Section: c.use(far),
				Message:  fmt.Sprintf("hot water runs %s from %s to %s; %s is the most", quantity.FormatLength(w.Length), w.From.Name(), f.Name, quantity.FormatLength(far.Metres())),
				Measured: &Measure{round(w.Length/feet, 2), "ft", ""}, Limit: &Measure{far.Value, "ft", "max"},
				Remedy: "bring a return loop or heat tracing nearer, or the heater"}
			if w.Missing == nil {
				j.Note = holdText(w)
			}
			c.say(j)
			continue
		}
		if Unattended(f) {
			continue
		}
		if w.Missing != nil {
			if w.Missing.Solve {
				continue
			}
			c.undecided(f.Name, f.Copy, endsLoc(w.Missing), w.What, "write it, so that the hot wait can be told")
			continue
		}
		most := c.MostHeld(w)
		if !most.OK {
			continue
		}
		c.use(far, most)
		held := w.Volume / sizing.FluidOunce
		if held <= most.Value+0.05 {
			c.complies(f.Name)
			continue
		}
		c.say(Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: f.Loc, Section: c.use(most),
			Message:  fmt.Sprintf("%s waits for hot water: %s; %s oz is the most that good practice leaves to run off", f.Name, holdText(w), sizing.Trim(most.Value)),
			Measured: &Measure{round(held, 1), "oz", ""}, Limit: &Measure{most.Value, "oz", "max"},
			Remedy: "shorten the hot pipe or take it smaller where its load allows, or bring a return loop nearer"})
	}
}

// Unattended tells a fixture that takes hot water without anyone waiting for it.
func Unattended(f *system.Point) bool { return f.Word == "dishwasher" || f.Word == "clothes-washer" }

// MostHeld is what the pipe to an outlet may hold, in fluid ounces.
func (c *Case) MostHeld(w *sizing.HotWait) codebook.Cell {
	f := w.Outlet.Point
	if f.Word == "lavatory" && c.Ledger.Occupancy(f) != "private" {
		if cell := c.Book.Number("hot-lavatory-volume"); cell.OK {
			return cell
		}
	}
	if w.Loop {
		if cell := c.Book.Number("hot-loop-volume"); cell.OK {
			return cell
		}
	}
	return c.Book.Number("hot-wait-volume")
}

func holdText(w *sizing.HotWait) string {
	s := fmt.Sprintf("%s oz (%s gal) stand in %s of pipe from %s", sizing.Trim(round(w.Volume/sizing.FluidOunce, 0)), fmt.Sprintf("%.2f", w.Gallons()), quantity.FormatLength(w.Length), w.From.Name())
	if t := w.Seconds(); t > 0 {
		s += fmt.Sprintf(", %.0f s at %s gpm", t, sizing.Trim(round(w.Flow/gpm, 2)))
	}
	return s
}
