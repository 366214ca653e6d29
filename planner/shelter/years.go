package shelter

import (
	"context"

	"quickthorn/geo"
	"quickthorn/planner"
)

// A Year is the shelter of a holding in one year.
type Year struct {
	Year        int
	AreaBelowM2 float64 // of the parcels: below the percent asked for; 0 where no parcel is drawn
	Beds        []Bed
	Unknown     []Unknown
	Notes       []Note
	Field       *geo.Raster
}

// Through works out the shelter of a holding in each of the years: the field on the grid, the area of its parcels below a percent of
// the open wind, and the beds. Progress counts over all years.
func Through(ctx context.Context, plan *planner.Plan, stand Stand, years []int, below float64, o Options, g geo.Grid, progress Progress) ([]Year, error) {
	parcels, _ := Ground(plan)
	region := geo.NewRegion(parcels)
	winds := Winds(&plan.Holding)
	out := make([]Year, 0, len(years))
	for n, year := range years {
		barriers, unknown := Barriers(plan, stand, year, o)
		var tell Progress
		if progress != nil {
			tell = func(done, total int) { progress(n*total+done, len(years)*total) }
		}
		field, err := Field(ctx, barriers, winds, g, tell)
		if err != nil {
			return nil, err
		}
		beds, err := Beds(ctx, plan, barriers, winds)
		if err != nil {
			return nil, err
		}
		out = append(out, Year{Year: year, AreaBelowM2: AreaBelow(field, below, region), Beds: beds, Unknown: unknown, Notes: Notes(barriers), Field: field})
	}
	return out, nil
}
