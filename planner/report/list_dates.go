package report

import (
	"fmt"

	"quickthorn/planner/wood"
)

// listDates are the windows of planting and cutting in the planting winter, by the rule set: a sentence each with its source. A window
// that is not known is left out.
func (r *Report) listDates() []string {
	c, winter := wood.CalendarFor(r.Plan, r.Set), r.Plan.Holding.PlantingWinter
	if c.Says != "" {
		return []string{c.Says + "."}
	}
	var out []string
	say := func(format string, w wood.Window) {
		if w.From == "" || w.Until == "" {
			return
		}
		out = append(out, fmt.Sprintf(format, wood.DateIn(w.From, winter), wood.DateIn(w.Until, winter))+" ["+source(w.Source)+"]")
	}
	say("Plant bare-rooted stock from %s to %s, not into frozen, waterlogged or snow-covered ground.", c.BareRoot)
	say("Plant stock from pots from %s to %s.", c.Container)
	say("Set willow cuttings from %s to %s.", c.Cuttings)
	say("Coppice hedges from %s to %s.", c.Coppice)
	say("Lay hedges from %s to %s.", c.Lay)
	if closed := c.Closed; closed.From != "" && closed.Until != "" {
		from, until := closedDates(closed, winter)
		say := fmt.Sprintf("No hedge is cut or trimmed from %s to %s; nests in use are protected at any date.", from, until)
		if c.Exception != "" {
			say += " " + sentence("Exceptions: "+c.Exception)
		}
		out = append(out, say+" ["+source(closed.Source)+"]")
	}
	return out
}
