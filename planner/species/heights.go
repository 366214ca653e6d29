package species

import (
	"fmt"
	"io/fs"
	"math"
	"strconv"

	"quickthorn/planner"
)

// A HeightCurve is one row of curves.csv: a published curve of top height (the tallest trees of a stand) against age, which carries
// one height measured at one age to any other age.
type HeightCurve struct {
	Species []*Species
	Form    string // one of heightForms
	Coef    []float64
	// BreastYears is how many years a planted tree takes to 1.3 m, where the curve counts its ages from there; 0 where it counts
	// them from planting.
	BreastYears float64
	Source      planner.Source
	Note        string
}

// breastM is the height from which some curves count, metres.
const breastM = 1.3

// A heightForm is a formula: how many coefficients it has, and the height h2 at age t2 of a tree that was h1 high at age t1.
type heightForm struct {
	coef  int
	carry func(c []float64, h1, t1, t2 float64) float64
}

var heightForms = map[string]heightForm{
	"A":       {4, scaled(func(c []float64, t float64) float64 { return math.Pow(-math.Expm1(-c[2]*t), c[3]) })},
	"B1":      {2, scaled(func(c []float64, t float64) float64 { return math.Pow(-math.Expm1(-c[0]*t), c[1]) })},
	"B2":      {3, carryB2},
	"C":       {2, carryC},
	"D":       {3, carryD},
	"E-cedar": {0, carryCedar},
	"E-alder": {0, carryRedAlder},
}

// scaled is the carrying of a curve whose level multiplies its shape.
func scaled(shape func(c []float64, t float64) float64) func(c []float64, h1, t1, t2 float64) float64 {
	return func(c []float64, h1, t1, t2 float64) float64 { return h1 * shape(c, t2) / shape(c, t1) }
}

// carryB2 is the generalised algebraic difference form of Manso, McLean, Arcangeli and Matthews 2020 with three coefficients.
func carryB2(c []float64, h1, t1, t2 float64) float64 {
	l := math.Log(-math.Expm1(-c[0] * t1))
	y := math.Log(h1) - c[1]*l
	x := 0.5 * (y + math.Sqrt(y*y-4*c[2]*l))
	return h1 * math.Pow(math.Expm1(-c[0]*t2)/math.Expm1(-c[0]*t1), c[1]+c[2]/x)
}

// carryC is the form of Johansson and of Eriksson, Johansson and Kiviste, with beta and p.
func carryC(c []float64, h1, t1, t2 float64) float64 {
	beta, p := c[0], c[1]
	d := beta * math.Pow(7, -p)
	r := math.Sqrt((h1-d)*(h1-d) + 4*beta*h1*math.Pow(t1, -p))
	return (h1 + d + r) / (2 + 4*beta*math.Pow(t2, -p)/(h1-d+r))
}

// carryD is the form of Nord-Larsen, Meilby and Skovsgaard 2009.
func carryD(c []float64, h1, t1, t2 float64) float64 {
	z := h1 - c[2]
	a, b := math.Pow(t1, c[0]), math.Pow(t2, c[0])
	r := z + math.Sqrt(z*z+2*c[1]*h1/a)
	return h1 * b * (a*r + c[1]) / (a * (b*r + c[1]))
}

// cedarHeight is the height above breast height t years from it, at site index si (height at 50 years): Kurucz 1985.
func cedarHeight(si, t float64) float64 {
	x := 2500 / (si - breastM)
	return t * t / (-3.11785 + 0.05027*x + (-0.02465+0.01411*x)*t + (0.00174+0.000097667*x)*t*t)
}

// redAlderHeight is the height at an age, at a height s at 20 years: Harrington and Curtis 1986.
func redAlderHeight(s, t float64) float64 {
	a, k := 18.1622+0.7953*s, 0.00194-0.002441*s
	f := func(t float64) float64 { return a * math.Pow(-math.Expm1(k*t), 0.9198) }
	return s + f(t) - f(20)
}

func carryCedar(_ []float64, h1, t1, t2 float64) float64 {
	return carryLevel(cedarHeight, 2.5, 60, h1, t1, t2)
}

func carryRedAlder(_ []float64, h1, t1, t2 float64) float64 {
	return carryLevel(redAlderHeight, 1.5, 40, h1, t1, t2)
}

// carryLevel finds the level between least and most at which a curve goes through h1 at t1, by halving; not a number where none
// does.
func carryLevel(height func(level, t float64) float64, least, most, h1, t1, t2 float64) float64 {
	if h1 < height(least, t1) || h1 > height(most, t1) {
		return math.NaN()
	}
	for range 60 {
		if mid := (least + most) / 2; height(mid, t1) < h1 {
			least = mid
		} else {
			most = mid
		}
	}
	return height((least+most)/2, t2)
}

// Carry is the height in metres at age `to` of a tree that was height metres high at age years. Where the curve counts from breast
// height a tree grows evenly up to it. It is false where the curve has no such tree. At to = age it is the height itself.
func (h *HeightCurve) Carry(height, age, to float64) (float64, bool) {
	if !(height > 0 && age > 0) || to <= 0 {
		return 0, to <= 0
	}
	form := heightForms[h.Form]
	var out float64
	if h.BreastYears == 0 {
		out = form.carry(h.Coef, height, age, to)
	} else {
		if height <= breastM || age <= h.BreastYears {
			return 0, false
		}
		if to <= h.BreastYears {
			return breastM * to / h.BreastYears, true
		}
		out = breastM + form.carry(h.Coef, height-breastM, age-h.BreastYears, to-h.BreastYears)
	}
	if math.IsNaN(out) || math.IsInf(out, 0) || out < 0 {
		return 0, false
	}
	return out, true
}

// YieldClassHeight is the top height in metres of Sitka spruce of a general yield class at an age (curve A); false for another form.
func (h *HeightCurve) YieldClassHeight(class, age float64) (float64, bool) {
	if h.Form != "A" || age < 0 {
		return 0, false
	}
	return (h.Coef[0] + h.Coef[1]*class) * math.Pow(-math.Expm1(-h.Coef[2]*age), h.Coef[3]), true
}

// HeightCurves lists the published curves of a species, in the order of the file: the first is the one to use.
func (c *Catalogue) HeightCurves(s *Species) []*HeightCurve {
	var out []*HeightCurve
	for _, h := range c.heightCurves {
		for _, o := range h.Species {
			if o == s {
				out = append(out, h)
			}
		}
	}
	return out
}

func (c *Catalogue) readCurves(fsys fs.FS, sources map[string]planner.Source, faults *[]error) error {
	t, done, err := openTable(fsys, "curves.csv", []string{"species", "form", "coefficients", "breast_years", "source", "note"}, sources, faults)
	if err != nil {
		return err
	}
	defer done()
	for t.next() {
		h := &HeightCurve{Species: c.speciesList(t, "species"), Form: t.text("form", sortedKeys(heightForms)...), Note: t.text("note")}
		h.Source = t.source("source", t.text("source"))
		for _, v := range t.list("coefficients") {
			f, err := strconv.ParseFloat(v, 64)
			if err != nil || math.IsNaN(f) || math.IsInf(f, 0) {
				t.bad("coefficients", "allowed: numbers with bars between")
			}
			h.Coef = append(h.Coef, f)
		}
		if want := heightForms[h.Form].coef; want != len(h.Coef) {
			t.bad("coefficients", fmt.Sprintf("the form %s has %d of them", h.Form, want))
		}
		if v := t.text("breast_years"); v != "" {
			f, err := strconv.ParseFloat(v, 64)
			if err != nil || !(f >= 1 && f <= 10) {
				t.bad("breast_years", "allowed: a number from 1 to 10, or empty")
			}
			h.BreastYears = f
		}
		if len(h.Species) == 0 {
			t.bad("species", "allowed: one or more ids with bars between")
		}
		c.heightCurves = append(c.heightCurves, h)
	}
	return nil
}
