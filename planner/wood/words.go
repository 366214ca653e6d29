package wood

import "fmt"

// groveWords tells what is cut where no hedge is in the rota.
func (r *Result) groveWords() string {
	sum, most := 0.0, 0.0
	for _, w := range r.Winters {
		sum += w.CutM2
		most = max(most, w.CutM2)
	}
	return fmt.Sprintf("up to %.0f m2 of grove are cut a winter, %.0f m2 on average (area over usual age is %.0f m2); no hedge is cut.", most, sum/float64(len(r.Winters)), r.Rota.AreaControlM2)
}

// chippedWords tells what becomes of the wood where logs are not among the holding's uses.
func (r *Result) chippedWords() string {
	s := fmt.Sprintf("That is %s t of dry wood a year. No logs are kept, because logs are not among the holding's uses: all of it is chip, or lies.",
		spread(mean(r, func(w Winter) Range { return w.Dry }), 1))
	if r.Heat.WantedKWh > 0 {
		s += fmt.Sprintf(" So none of the %.0f kWh wanted a year comes from this wood: put logs among the uses if it is to heat the house.", r.Heat.WantedKWh)
	}
	return s
}

// whole writes a length in whole metres; under one of them in decimals, so that little is not told as nothing.
func whole(v float64) string {
	if v > 0 && v < 0.95 {
		return decimal(v, 2)
	}
	return decimal(v, 0)
}

// otherNotes are the notes without the conflicts, which the summary tells.
func (r *Result) otherNotes() []string {
	told := map[string]bool{}
	for _, c := range r.Conflicts {
		told[c.Message] = true
	}
	var out []string
	for _, n := range r.Notes {
		if !told[n] {
			out = append(out, n)
		}
	}
	return out
}

// since is the winter since which a section has grown; where winters are counted from 1, how long that is before the first.
func (r *Result) since(s *Section) string {
	if s.Born > 0 {
		return fmt.Sprint(s.Born)
	}
	return count(r.First-s.Born, "year") + " before"
}

// percentWords never says that what is lacking is 0 percent.
func percentWords(v float64) string {
	if v < 0.5 {
		return "under 1 percent"
	}
	return fmt.Sprintf("%.0f percent", v)
}

// small writes a size to one decimal under 10, so that little is not told as nothing.
func small(v float64) string {
	if v > 0 && v < 0.05 {
		return decimal(v, 3)
	}
	if v < 9.95 {
		return decimal(v, 1)
	}
	return decimal(v, 0)
}
