// Package site knows the land: which field, bed or patch of ground lies under a point, how wet it is there and why we think
// so, and what grazes near by. It is worked out once from a plan and read by setting out's neighbours: lists, checks and
// what computes over the ground. Of plants it asks the catalogue only what a sward tells of how wet a field is.
package site

import (
	"sort"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/species"
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
	moisture map[*planner.Feature]class
	parcels  []Area
	patches  []Area
	byKind   map[planner.Kind][]Area
}

// class is the ground class of a parcel or patch, and what it rests on.
type class struct {
	moisture planner.Moisture
	basis    Basis
}

// New reads the land of a plan; the catalogue knows what a sward tells. Unsound features are left out. Cost: proportional to
// the corners drawn.
func New(p *planner.Plan, cat *species.Catalogue) *Site {
	s := &Site{moisture: map[*planner.Feature]class{}, byKind: map[planner.Kind][]Area{}}
	for _, f := range p.Features {
		if !f.Sound || len(f.Shape.Polygons) == 0 {
			continue
		}
		a := Area{Feature: f, Region: geo.NewRegion(f.Shape.Polygons), Shape: f.Shape.Polygons, AreaM2: geo.MultiArea(f.Shape.Polygons)}
		s.byKind[f.Kind] = append(s.byKind[f.Kind], a)
		switch d := f.Detail.(type) {
		case *planner.Parcel:
			s.moisture[f] = classOf(cat, f, d.Ground)
		case *planner.Patch:
			s.moisture[f] = classOf(cat, f, d.Ground)
		}
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
		u.Moisture, u.Basis = s.parcelMoisture(f)
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
		if c := s.moisture[a.Feature]; c.basis != Assumed && c.moisture.Rank() > wettest {
			wettest, u.Patch, u.Moisture, u.Basis = c.moisture.Rank(), a.Feature, c.moisture, c.basis
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

// parcelMoisture is a parcel's ground class: what it states, else what its sward tells, else the default.
func (s *Site) parcelMoisture(f *planner.Feature) (planner.Moisture, Basis) {
	c := s.moisture[f]
	if c.basis == Assumed {
		return planner.Moist, Assumed
	}
	return c.moisture, c.basis
}

// classOf is what a parcel or patch says of its ground class: what it states, else what its sward tells, else nothing.
func classOf(cat *species.Catalogue, f *planner.Feature, g planner.Ground) class {
	if f.Stated("moisture") && g.Moisture != "" {
		return class{g.Moisture, Stated}
	}
	if len(g.Sward) > 0 {
		if e := EstimateSward(cat, g.Sward); e.Moisture != "" {
			return class{e.Moisture, FromPlan}
		}
	}
	return class{"", Assumed}
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
