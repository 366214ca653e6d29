// Package site knows the land: which field, bed or patch of ground lies under a point, how wet it is there and why we think
// so, and what grazes near by. It is worked out once from a plan and read by setting out's neighbours: lists, checks and
// what computes over the ground. It knows no plants but the sward that tells how wet a field is.
package site

import (
	"sort"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// Basis says what a ground class rests on.
type Basis string

// What the moisture of a place rests on, firmest first.
const (
	Stated   Basis = "stated"
	FromPlan Basis = "sward" // estimated from the plants seen growing
	Assumed  Basis = "default"
)

// Under is the ground under a point: the parcel's properties, overridden by patches of ground where they state something.
type Under struct {
	planner.Ground
	Parcel *planner.Feature // nil outside every parcel
	Patch  *planner.Feature // the patch whose moisture holds, nil where the parcel's does
	Basis  Basis            // of the moisture
	Known  bool             // in a parcel or patch at all; otherwise every value is the vocabulary's default
}

// An Area is a polygon feature ready to be asked about.
type Area struct {
	Feature *planner.Feature
	Region  *geo.Region
	Shape   orb.MultiPolygon
	AreaM2  float64
}

// A Site is the land of one plan. It is safe for concurrent reading.
type Site struct {
	plan    *planner.Plan
	parcels []Area
	patches []Area
	byKind  map[planner.Kind][]Area
}

// New reads the land of a plan. Unsound features are left out. Cost: proportional to the corners drawn.
func New(p *planner.Plan) *Site {
	s := &Site{plan: p, byKind: map[planner.Kind][]Area{}}
	for _, f := range p.Features {
		if !f.Sound || len(f.Shape.Polygons) == 0 {
			continue
		}
		a := Area{Feature: f, Region: geo.NewRegion(f.Shape.Polygons), Shape: f.Shape.Polygons, AreaM2: geo.MultiArea(f.Shape.Polygons)}
		s.byKind[f.Kind] = append(s.byKind[f.Kind], a)
	}
	// The smaller parcel comes first, so that the first that holds a point is the one meant.
	s.parcels = s.byKind[planner.KindParcel]
	sort.SliceStable(s.parcels, func(i, j int) bool { return s.parcels[i].AreaM2 < s.parcels[j].AreaM2 })
	s.patches = s.byKind[planner.KindGround]
	return s
}

// Areas lists the sound polygon features of a kind: parcels the smaller first, all others by id.
func (s *Site) Areas(k planner.Kind) []Area { return s.byKind[k] }

// ParcelAt is the smallest parcel that holds the point (its edge counts), or nil.
func (s *Site) ParcelAt(p orb.Point) *planner.Feature {
	for i := range s.parcels {
		if a := &s.parcels[i]; a.Region.Box().Contains(p) && a.Region.Contains(p) {
			return a.Feature
		}
	}
	return nil
}

// At is the ground under a point. Where several patches overlap the wettest decides the moisture, and for every other
// property the patch that states it and comes last by id.
func (s *Site) At(p orb.Point) Under {
	u := Under{Ground: defaultGround(), Basis: Assumed}
	if f := s.ParcelAt(p); f != nil {
		u.Parcel, u.Known = f, true
		u.Ground = f.Detail.(*planner.Parcel).Ground
		u.Moisture, u.Basis = moistureOf(f, u.Ground)
	}
	wettest := -1
	for i := range s.patches {
		a := &s.patches[i]
		if !a.Region.Box().Contains(p) || !a.Region.Contains(p) {
			continue
		}
		u.Known = true
		g := a.Feature.Detail.(*planner.Patch).Ground
		override(&u.Ground, a.Feature, g)
		if m, basis := patchMoisture(a.Feature, g); basis != Assumed && m.Rank() > wettest {
			wettest, u.Patch, u.Moisture, u.Basis = m.Rank(), a.Feature, m, basis
		}
	}
	return u
}

// Grazed lists the parcels grazed by anything whose edge or inside is within reach metres of the point, the nearest first.
func (s *Site) Grazed(p orb.Point, reach float64) []Grazing {
	var out []Grazing
	for i := range s.parcels {
		a := &s.parcels[i]
		stock := a.Feature.Detail.(*planner.Parcel).GrazedBy
		if len(stock) == 0 || !a.Region.Box().Pad(reach).Contains(p) {
			continue
		}
		d := 0.0
		if !a.Region.Contains(p) {
			d = a.Region.DistToEdge(p)
		}
		if d <= reach {
			out = append(out, Grazing{Parcel: a.Feature, Stock: stock, DistM: d})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].DistM < out[j].DistM })
	return out
}

// Grazing is stock within reach of a place.
type Grazing struct {
	Parcel *planner.Feature
	Stock  []string
	DistM  float64 // 0 inside the parcel
}

func defaultGround() planner.Ground {
	return planner.Ground{Moisture: planner.Moist, Soil: planner.Loam, Shrinkable: "unknown", Exposure: planner.Moderate}
}

// moistureOf is a parcel's ground class: what it states, else what its sward tells, else the default.
func moistureOf(f *planner.Feature, g planner.Ground) (planner.Moisture, Basis) {
	if f.Stated("moisture") && g.Moisture != "" {
		return g.Moisture, Stated
	}
	if len(g.Sward) > 0 {
		if e := EstimateSward(g.Sward); e.Moisture != "" {
			return e.Moisture, FromPlan
		}
	}
	if g.Moisture != "" {
		return g.Moisture, Assumed
	}
	return planner.Moist, Assumed
}

// patchMoisture is as moistureOf, but a patch that says nothing of moisture has none.
func patchMoisture(f *planner.Feature, g planner.Ground) (planner.Moisture, Basis) {
	if f.Stated("moisture") && g.Moisture != "" {
		return g.Moisture, Stated
	}
	if len(g.Sward) > 0 {
		if e := EstimateSward(g.Sward); e.Moisture != "" {
			return e.Moisture, FromPlan
		}
	}
	return "", Assumed
}

// override puts what a patch states over the parcel's values, moisture aside.
func override(g *planner.Ground, f *planner.Feature, with planner.Ground) {
	if f.Stated("soil") {
		g.Soil = with.Soil
	}
	if f.Stated("shrinkable") {
		g.Shrinkable = with.Shrinkable
	}
	if f.Stated("ph") {
		g.PH = with.PH
	}
	if f.Stated("peat_depth_m") {
		g.PeatDepthM = with.PeatDepthM
	}
	if f.Stated("slope_percent") {
		g.SlopePercent = with.SlopePercent
	}
	if f.Stated("falls_to_deg") {
		g.FallsToDeg = with.FallsToDeg
	}
	if f.Stated("exposure") {
		g.Exposure = with.Exposure
	}
}
