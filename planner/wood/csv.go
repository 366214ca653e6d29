package wood

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"

	"quickthorn/planner/prose"
)

// WriteCSV writes one row a winter with low, middle and high, after RFC 4180. Section ids that a spreadsheet would run as a formula are
// made inert.
func WriteCSV(w io.Writer, r *Result) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	head := []string{"winter", "cut_m", "cut_m2", "cut"}
	ranged := []struct {
		name     string
		decimals int
		of       func(Winter) Range
	}{
		{"dry_t", 4, func(w Winter) Range { return w.Dry }}, {"logs_dry_t", 4, func(w Winter) Range { return w.Logs }},
		{"brash_dry_t", 4, func(w Winter) Range { return w.Brash }}, {"loss_dry_t", 4, func(w Winter) Range { return w.Loss }},
		{"logs_solid_m3", 3, func(w Winter) Range { return w.LogsSolid }}, {"logs_stacked_m3", 3, func(w Winter) Range { return w.LogsStacked }},
		{"heat_made_kwh", 1, func(w Winter) Range { return w.Made }}, {"heat_ready_kwh", 1, func(w Winter) Range { return w.Ready }},
		{"heat_used_kwh", 1, func(w Winter) Range { return w.Burned }}, {"heat_short_kwh", 1, func(w Winter) Range { return w.Short }},
		{"heat_carried_kwh", 1, func(w Winter) Range { return w.Carried }}, {"chip_made_m3", 3, func(w Winter) Range { return w.Chip }},
		{"chip_used_m3", 3, func(w Winter) Range { return w.Used }}, {"chip_left_m3", 3, func(w Winter) Range { return w.Left }},
		{"chip_loss_m3", 3, func(w Winter) Range { return w.ChipLoss }}, {"chip_short_m3", 3, func(w Winter) Range { return w.ChipShort }},
	}
	for _, c := range ranged {
		head = append(head, c.name+"_low", c.name+"_mid", c.name+"_high")
	}
	head = append(head, "ready_winter", "heat_wanted_kwh", "chip_needed_m3")
	if err := out.Write(head); err != nil {
		return err
	}
	f := func(v float64, d int) string { return strconv.FormatFloat(to(d)(v), 'f', -1, 64) }
	for _, x := range r.Winters {
		var ids []string
		for _, c := range x.Cut {
			ids = append(ids, r.Sections[c.Section].ID)
		}
		row := []string{strconv.Itoa(x.Winter), f(x.CutM, 3), f(x.CutM2, 2), prose.Inert(prose.Clean(strings.Join(ids, " ")))}
		for _, c := range ranged {
			v := c.of(x)
			row = append(row, f(v.Low, c.decimals), f(v.Mid, c.decimals), f(v.High, c.decimals))
		}
		ready := ""
		if x.ReadyWinter > 0 {
			ready = strconv.Itoa(x.ReadyWinter)
		}
		row = append(row, ready, f(r.Heat.WantedKWh, 1), f(x.Needed, 3))
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}
