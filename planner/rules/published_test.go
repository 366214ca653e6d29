package rules

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Published cases: a measured value, and whether the source lets it pass.
func TestPublishedCases(t *testing.T) {
	for _, c := range []struct {
		set, rule, limit string
		measured         float64
		holds            bool
		source           string
	}{
		// Plants a metre: two rows at 0.5 m are 4 a metre, at 0.4 m 5, at 1/3 m 6, at 0.25 m 8.
		{"england", "hedge.density", "per_metre_least", 6, true, "BN11 2023: at least 6"},
		{"england", "hedge.density", "per_metre_least", 5.99, false, "BN11 2023"},
		{"england", "hedge.density", "per_metre_least", 2 / 0.5, false, "BN11 2023; a council's 0.5 m in row"},
		{"ireland", "hedge.density", "per_metre_least", 2 / 0.4, true, "ACRES 2022: at least 5"},
		{"ireland", "hedge.density", "per_metre_least", 2 / 0.5, false, "ACRES 2022"},
		{"scotland", "hedge.density", "per_metre_least", 6, true, "AECS 2017: 6"},
		{"scotland", "hedge.density", "per_metre_least", 5, false, "AECS 2017"},
		{"northern-ireland", "hedge.density", "per_metre_least", 2 / 0.25, true, "DARD 2012: about 8"},
		{"northern-ireland", "hedge.density", "per_metre_least", 6, false, "DARD 2012"},
		{"general", "hedge.density", "single_row_per_metre_least", 3, true, "community guide, Sheffield: 3 to 5"},
		// Greatest share of one species.
		{"england", "hedge.mix", "greatest_share_percent", 100 * 420. / 600, true, "BN11 2023: 70 percent"},
		{"england", "hedge.mix", "greatest_share_percent", 100 * 421. / 600, false, "BN11 2023"},
		{"england", "hedge.mix", "greatest_share_percent", 75, false, "BN11 2023 against DARD's mix"},
		{"northern-ireland", "hedge.mix", "greatest_share_percent", 75, true, "DARD 2012: 75 hawthorn, 25 others"},
		{"northern-ireland", "hedge.mix", "greatest_share_percent", 75.1, false, "DARD 2012"},
		{"ireland", "hedge.mix", "greatest_share_percent", 80, true, "ACRES notice 2022-24: 85"},
		{"ireland", "hedge.mix", "greatest_share_percent", 85.5, false, "ACRES notice 2022-24"},
		{"england", "hedge.mix", "greatest_share_percent", 80, false, "BN11 2023"},
		{"england", "hedge.mix", "species_least", 1, false, "BN11 2023, follows from 70 percent"},
		{"ireland", "hedge.mix", "species_least", 3, true, "ACRES notice 2022-24"},
		{"ireland", "hedge.mix", "species_least", 2, false, "ACRES notice 2022-24"},
		{"northern-ireland", "hedge.mix", "species_least", 5, true, "DARD 2012: 5 in 30 m"},
		{"northern-ireland", "hedge.mix", "species_least", 4, false, "DARD 2012"},
		{"england", "hedge.native", "native_share_percent", 99, false, "BN11 2023: all native"},
		{"england", "hedge.native", "existing_native_share_percent", 80, true, "BN5-7: at least 80"},
		{"general", "hedge.thorns", "thorny_share_percent", 60 + 15, true, "TCV: 75 thorns, 60 hawthorn and 15 blackthorn"},
		{"general", "hedge.thorns", "thorny_share_percent", 74, false, "TCV"},
		// Gaps of a hedge of 100 m.
		{"general", "hedge.gap-share", "gap_share_percent", 9, true, "HSH 2007: under 10"},
		{"general", "hedge.gap-share", "gap_share_percent", 10, false, "HSH 2007: ten gaps of 1 m"},
		{"england", "hedge.gap-share", "gap_share_percent", 10, true, "CHRW 2024: up to 10"},
		{"england", "hedge.gap-share", "gap_share_percent", 10.01, false, "CHRW 2024"},
		{"ireland", "hedge.gap-share", "gap_share_percent", 10, false, "HSH 2007"},
		{"general", "hedge.gap", "gap_greatest_m", 4, true, "HSH 2007: none over 5 m"},
		{"general", "hedge.gap", "gap_greatest_m", 5, true, "HSH 2007"},
		{"england", "hedge.gap", "gap_greatest_m", 6, false, "HSH 2007: a gap of 6 m alone fails"},
		// One hedge or two.
		{"england", "hedge.split", "gap_m", 19.9, true, "GAEC 7a 2015"},
		{"england", "hedge.split", "gap_m", 20, true, "GAEC 7a 2015: one hedge at exactly 20 m"},
		{"england", "hedge.split", "gap_m", 20.1, false, "GAEC 7a 2015"},
		{"general", "hedge.split", "gap_m", 20, true, "GAEC 7a 2015"},
		{"wales", "hedge.split", "gap_m", 19.9, true, "Wales 2023: 19 m is no new hedge"},
		{"wales", "hedge.split", "gap_m", 20, false, "Wales 2023: two at exactly 20 m"},
		{"wales", "hedge.split", "gap_m", 25, false, "Wales 2023: 25 m is a new hedge"},
		{"england", "hedge.split", "length_least_m", 15, false, "MHR 2024: 15 m joined at one end is none"},
		{"england", "hedge.split", "length_least_m", 20, true, "MHR 2024"},
		// Condition: 1.2 m high, 1.6 m wide, base 0.3 m passes the survey handbook.
		{"general", "hedge.condition", "height_least_m", 1.2, true, "HSH 2007"},
		{"general", "hedge.condition", "width_least_m", 1.6, true, "HSH 2007"},
		{"general", "hedge.condition", "canopy_base_greatest_m", 0.3, true, "HSH 2007"},
		{"general", "hedge.condition", "canopy_base_greatest_m", 0.5, false, "HSH 2007: under 0.5"},
		{"general", "hedge.condition", "width_greatest_m", 5, false, "HSH 2007: under 5"},
		{"ireland", "hedge.condition", "height_least_m", 1.7, false, "Teagasc 2023: not below 1.8"},
		// Fence and buffer.
		{"england", "hedge.fence", "fence_least_m", 1.0, false, "BN5-7, BN11: 1.2 m from the centre"},
		{"england", "hedge.fence", "fence_least_m", 1.2, true, "BN5-7, BN11"},
		{"scotland", "hedge.fence", "fence_least_m", 1.0, true, "SSI 2004/143"},
		{"scotland", "hedge.fence", "fence_least_m", 0.9, false, "SSI 2004/143"},
		{"england", "hedge.buffer", "buffer_m", 1.9, false, "MHR 2024: 2 m from the centre"},
		{"england", "hedge.buffer", "exempt_under_years", 4, true, "MHR 2024: a hedge of 4 years is exempt"},
		{"england", "hedge.buffer", "exempt_under_years", 5, false, "MHR 2024"},
		{"england", "hedge.buffer", "exempt_field_ha", 1.9, true, "GAEC 7a, MHR: 2 ha or less"},
		{"england", "hedge.buffer", "exempt_field_ha", 1.8, true, "GAEC 7a, MHR"},
		{"england", "hedge.buffer", "exempt_field_ha", 2.1, false, "GAEC 7a, MHR"},
		{"scotland", "hedge.buffer", "buffer_m", 2, true, "SSI 2014/325"},
		// Hedgerow trees.
		{"england", "hedge.trees", "tree_spacing_least_m", 20, true, "TE1 2025"},
		{"england", "hedge.trees", "tree_spacing_least_m", 19, false, "TE1 2025"},
		{"england", "hedge.trees", "tree_spacing_greatest_m", 50, true, "HR97: one in 50 m"},
		{"ireland", "hedge.trees", "tree_spacing_greatest_m", 51, false, "ACRES: one in 50 m"},
		{"northern-ireland", "hedge.trees", "tree_spacing_least_m", 10, true, "DARD 2012: every 10 to 15 m"},
		{"england", "hedge.trees", "trees_per_100_m_least", 10. / 1000 * 100, true, "HRW3: 1,000 m with 10 trees"},
		{"england", "hedge.trees", "trees_per_100_m_least", 9. / 1000 * 100, false, "HRW3: 9 trees"},
		{"england", "setback.overhead-line", "hedgerow_tree_least_m", 19, false, "TE1 2025: 20 m from lines"},
		{"england", "setback.overhead-line", "hedgerow_tree_least_m", 20, true, "TE1 2025"},
		// Lines, mains, roads.
		{"northern-ireland", "setback.overhead-line", "strip_least_m", 4, false, "NIE Networks: 5 m each side at 11 kV"},
		{"northern-ireland", "setback.overhead-line", "strip_least_m", 6, true, "NIE Networks"},
		{"ireland", "setback.overhead-line", "strip_least_m", 6, false, "ESB and IFA 1992: 10 m each side"},
		{"ireland", "setback.overhead-line", "under_height_greatest_m", 3, true, "DAFM Forestry Standards Manual: below 3 m"},
		{"general", "setback.service", "sewer_willow_poplar_least_m", 11, false, "Severn Trent: 12 m"},
		{"general", "setback.service", "water_large_tree_least_m", 8, false, "Severn Trent: oak 10 m"},
		{"general", "setback.service", "sewer_shrub_least_m", 1.8, false, "Severn Trent: hazel 2 m"},
		{"general", "setback.service", "sewer_shrub_least_m", 2.0, true, "Severn Trent: hazel 2 m"},
		{"general", "setback.service", "gas_willow_poplar_least_m", 9, false, "National Grid: willow 10 m"},
		{"general", "setback.service", "gas_shrub_least_m", 0, true, "National Grid: a hazel hedge across, with consent"},
		{"general", "setback.service", "gas_large_tree_least_m", 7, true, "National Grid: one oak at 7 m, with consent"},
		{"general", "setback.service", "gas_mass_planting_least_m", 7, false, "National Grid: a block at 7 m"},
		{"england", "setback.road", "centre_least_m", 4.5, false, "Highways Act 1980 s.141: 15 ft"},
		{"england", "setback.road", "centre_least_m", 4.6, true, "Highways Act 1980 s.141: 15 ft"},
		{"england", "setback.road", "centre_least_m", 15 * 0.3048, true, "Highways Act 1980 s.141: 15 ft exactly"},
		{"ireland", "setback.road", "forest_conifer_least_m", 15, false, "minister's answer 2025: conifers 20 m"},
		{"ireland", "setback.road", "forest_broadleaf_least_m", 15, true, "minister's answer 2025: broadleaves 10 m"},
		{"ireland", "setback.building", "forest_dwelling_least_m", 59, false, "afforestation setbacks: 60 m"},
		{"england", "setback.boundary", "high_hedge_greatest_m", 2.5, false, "Anti-social Behaviour Act 2003: over 2 m"},
		{"england", "setback.boundary", "high_hedge_below_plants", 1, true, "Anti-social Behaviour Act 2003: one Leyland is no hedge"},
		{"england", "setback.boundary", "high_hedge_below_plants", 2, false, "Anti-social Behaviour Act 2003: two are"},
		{"general", "setback.railway", "listed_small_least_m", 5, false, "Network Rail 2015: over 5 m"},
		{"ireland", "setback.railway", "listed_large_least_m", 15, false, "ACRES tree planting 2023: 20 m"},
		// Peat: 35 cm stops in Ireland and England, not in Scotland; 55 cm stops everywhere.
		{"england", "ground.peat", "depth_greatest_m", 0.35, false, "Defra, FC and NE framework: 30 cm"},
		{"ireland", "ground.peat", "depth_greatest_m", 0.35, false, "Irish rule of 2023: 30 cm"},
		{"scotland", "ground.peat", "depth_greatest_m", 0.35, true, "Scottish Forestry 2025: 50 cm"},
		{"scotland", "ground.peat", "depth_greatest_m", 0.5, false, "Scottish Forestry 2025: 50 cm or more"},
		{"wales", "ground.peat", "depth_greatest_m", 0.5, true, "Natural Resources Wales: over 50 cm"},
		{"wales", "ground.peat", "depth_greatest_m", 0.55, false, "Natural Resources Wales"},
		{"northern-ireland", "ground.peat", "depth_greatest_m", 0.55, false, "UK Forestry Standard: over 50 cm"},
		{"general", "ground.peat", "depth_greatest_m", 0.55, false, "every body"},
		{"general", "ground.peat", "warn_over_m", 0.12, false, "no ploughing over 10 cm in Scotland, 2021"},
		// Consent for a new wood.
		{"england", "ground.consent", "free_below_ha", 1.9, true, "gov.uk thresholds: under 2 ha"},
		{"england", "ground.consent", "free_below_ha", 2, false, "gov.uk thresholds: 2 to 5 ha notify"},
		{"england", "ground.consent", "full_over_ha", 5.1, false, "gov.uk thresholds: over 5 ha full"},
		{"scotland", "ground.consent", "free_below_ha", 19, true, "Scottish Forestry: 20 ha"},
		{"ireland", "ground.consent", "free_below_ha", 0.2, false, "S.I. 191/2017: over 0.1 ha"},
		// Windbreaks.
		{"general", "windbreak.length", "heights_least", 80. / 9, false, "NAC: 9 m at year 20, 80 m long"},
		{"general", "windbreak.length", "heights_least", 90. / 9, true, "NAC: 90 m needed"},
		{"general", "windbreak.angle", "off_square_greatest_deg", 0, true, "Cleugh 1997: bearing 135, wind 225"},
		{"general", "windbreak.angle", "off_square_greatest_deg", 45, false, "Cleugh 1997: bearing 90, wind 225"},
		{"general", "windbreak.density", "crops_least_percent", 40, true, "NAC: 40 to 60"},
		{"general", "windbreak.density", "crops_greatest_percent", 90, false, "NAC: a deciduous belt in full leaf is about 90"},
		{"general", "windbreak.density", "buildings_least_percent", 60, false, "NAC: 65 and more"},
		// Orchards.
		{"general", "orchard.pollination", "partner_within_m", 17.9, true, "RHS, Fruit pollination: 18 m"},
		{"general", "orchard.pollination", "partner_within_m", 18.1, false, "RHS, Fruit pollination: 18 m"},
		{"general", "orchard.pollination", "group_difference_greatest", 5 - 2, false, "RHS: Egremont Russet 2, Newton Wonder 5"},
		{"general", "orchard.pollination", "triploid_partners_least", 1, false, "RHS: a triploid needs two"},
		{"general", "orchard.pollination", "hazel_partner_within_m", 15, true, "Oregon State 2016: 15 m"},
		{"general", "orchard.margin", "traditional_greatest_per_ha", 10000 / (8.0 * 8.0), false, "Natural England: under 150 per ha, 8.0 m square"},
		{"general", "orchard.margin", "traditional_greatest_per_ha", 10000 / (8.2 * 8.2), true, "Natural England: 8.2 m square"},
		{"general", "spacing.too-close", "espalier_least_m", 3, false, "RHS espaliers: 3.75 to 6 m"},
		{"general", "spacing.too-close", "espalier_least_m", 6, true, "RHS espaliers"},
		{"general", "spacing.too-wide", "cordon_greatest_m", 1, false, "RHS cordons: 0.6 to 0.9 m"},
		{"northern-ireland", "spacing.too-close", "standard_least_m", 7, true, "DARD sheet 7.3: 7 m"},
		// Cutting.
		{"general", "wood.share", "greatest_share_percent", 10, true, "TIN039 2008: about 10 percent a year"},
		{"general", "wood.share", "greatest_share_percent", 12, false, "TIN039 2008"},
		{"general", "wood.wires", "work_least_m", 9, false, "arboriculture industry code 2.4.7: 10 m"},
		{"general", "wood.wires", "fell_tree_heights", 1.5, false, "ENA, Look Out Look Up: two tree heights"},
		{"england", "wood.licence", "quarter_greatest_m3", 5, true, "Forestry Act 1967 s.9: 5 m3 a quarter"},
		{"england", "wood.licence", "quarter_greatest_m3", 5.1, false, "Forestry Act 1967 s.9"},
		{"england", "wood.licence", "sold_greatest_m3", 2.5, false, "Forestry Act 1967 s.9: 2 m3 sold"},
		{"england", "wood.licence", "coppice_stem_greatest_m", 0.15, true, "Forestry Act 1967 s.9: coppice to 15 cm"},
		{"scotland", "wood.licence", "coppice_stem_greatest_m", 0.12, false, "Scottish regulations of 2019: 10 cm, from memory"},
		{"ireland", "wood.licence", "year_greatest_m3", 15, true, "Forestry Act 2014 s.19: 15 m3 in 12 months"},
		{"ireland", "wood.licence", "tree_greatest_m3", 3.5, false, "Forestry Act 2014 s.19: 3 m3 a tree"},
		{"england", "wood.licence", "removal_least_m", 20, true, "Hedgerows Regulations 1997: 20 m and longer"},
	} {
		l, ok := set(t, c.set).Get(c.rule, c.limit)
		require.True(t, ok, "%s %s %s", c.set, c.rule, c.limit)
		assert.Equal(t, c.holds, l.Holds(c.measured), "%s: %s %s is %s, measured %v (%s)", c.set, c.rule, c.limit, l, c.measured, c.source)
	}
}

// Zones of influence: factor by water demand times mature height, NHBC Standards 4.2, Table 3b and the heights of Table 12 of
// 2006.
func TestWaterDemandZones(t *testing.T) {
	general := set(t, General)
	for _, c := range []struct {
		tree, demand string
		height, zone float64
		source       string
	}{
		{"English oak", "high", 20, 25, "NHBC 2006 Table 12"},
		{"hybrid black poplar", "high", 28, 35, "NHBC 2006 Table 12"},
		{"hawthorn", "high", 10, 12.5, "NHBC 2006 Table 12"},
		{"Leyland cypress", "high", 20, 25, "NHBC 2006 Table 12"},
		{"willow, species unknown", "high", 24, 30, "NHBC 2006, note 3: the greatest height listed"},
		{"ash", "moderate", 23, 17.25, "NHBC 2006 Table 12"},
		{"common alder", "moderate", 18, 13.5, "NHBC 2006 Table 12"},
		{"blackthorn", "moderate", 8, 6, "NHBC 2006 Table 12"},
		{"birch", "low", 14, 7, "NHBC 2006 Table 12"},
		{"hazel", "low", 8, 4, "NHBC 2006 Table 12"},
	} {
		l, ok := general.Get("setback.building", "zone_factor_"+c.demand)
		require.True(t, ok)
		assert.Equal(t, c.zone, l.Value*c.height, "%s (%s)", c.tree, c.source)
		assert.True(t, l.Holds(c.zone/c.height), c.tree)
		assert.False(t, l.Holds((c.zone-0.1)/c.height), c.tree)
		assert.True(t, l.Safety)
	}
	oak, _ := general.Get("setback.building", "zone_factor_high")
	assert.False(t, oak.Holds(12./20), "a house 12 m from an English oak: D/H 0.60")
	blank, ok := general.Get("setback.building", "unknown_demand")
	require.True(t, ok)
	zone, ok := general.Get("setback.building", "zone_factor_"+blank.Text)
	require.True(t, ok)
	assert.Equal(t, 17.5, zone.Value*14, "species left blank, 14 m: NHBC 4.2.4")
	maple, _ := general.Get("setback.building", "unlisted_broadleaf_demand")
	zone, _ = general.Get("setback.building", "zone_factor_"+maple.Text)
	assert.Equal(t, 10.5, zone.Value*14, "field maple, 14 m: moderate by Table 2 (from memory)")
}

// Disagreements between bodies stay visible beside the figure that is used.
func TestDisagreements(t *testing.T) {
	for _, c := range []struct {
		set, rule, limit string
		says             []string // set: limit
	}{
		{"general", "hedge.split", "gap_m", []string{"wales: less than 20 m", "other opinion: less than 20 m"}},
		{"england", "hedge.gap-share", "gap_share_percent", []string{"general: less than 10 percent"}},
		{"general", "hedge.gap-share", "gap_share_percent", []string{"england: at most 10 percent"}},
		{"ireland", "hedge.mix", "greatest_share_percent", []string{"general: at most 70 percent", "northern-ireland: at most 75 percent", "other opinion: at most 70 percent", "other opinion: at most 100 percent"}},
		{"general", "hedge.density", "per_metre_least", []string{"ireland: at least 5 plants per m", "northern-ireland: at least 8 plants per m", "scotland: at least 6 plants per m"}},
		{"general", "setback.drain", "willow_poplar_least_m", []string{"other opinion: at least 30.5 m"}},
		{"general", "setback.drain", "shrub_least_m", []string{"other opinion: at least 15.2 m"}},
		{"general", "setback.service", "water_willow_poplar_least_m", []string{"other opinion: at least 10 m", "other opinion: at least 3 m"}},
		{"general", "setback.service", "water_large_tree_least_m", []string{"other opinion: at least 7 m"}},
		{"general", "setback.building", "insurer_willow_m", []string{"other opinion: at least 40 m"}},
		{"general", "windbreak.length", "heights_least", []string{"other opinion: at least 12 heights"}},
		{"scotland", "hedge.fence", "fence_least_m", []string{"general: at least 1.2 m"}},
		{"england", "ground.peat", "depth_greatest_m", []string{"scotland: less than 0.5 m", "wales: at most 0.5 m"}},
	} {
		var got []string
		for _, l := range set(t, c.set).Others(c.rule, c.limit) {
			assert.NotEmpty(t, l.Source.Text)
			got = append(got, l.Set+": "+l.String())
		}
		for _, want := range c.says {
			assert.Contains(t, got, want, "%s %s %s", c.set, c.rule, c.limit)
		}
	}
	// Willow 35 m from a house: the standard passes it, the insurers do not.
	general := set(t, General)
	zone, _ := general.Get("setback.building", "zone_factor_high")
	insurer := general.Others("setback.building", "insurer_willow_m")
	require.Len(t, insurer, 1)
	assert.True(t, zone.Holds(35./24))
	assert.False(t, insurer[0].Holds(35))
	_, used := general.Get("setback.building", "insurer_willow_m")
	assert.False(t, used, "other opinions are never applied")
}

// What hedges are set out by where the plan does not say.
func TestHedgeDefaults(t *testing.T) {
	for _, c := range []struct {
		set                               string
		perMetre, rowGap, fill, tree, far float64
		source                            string
	}{
		{"general", 6, 0.40, 6, 20, 1.2, "BN11, BN7, TE1"},
		{"england", 6, 0.40, 6, 20, 1.2, "BN11, BN7, TE1"},
		{"ireland", 5, 0.33, 4, 20, 1.2, "ACRES, GLAS"},
		{"scotland", 6, 0.40, 6, 20, 1.0, "AECS, SSI 2004/143"},
		{"northern-ireland", 8, 0.30, 6, 15, 1.2, "DARD 2012"},
		{"wales", 6, 0.40, 6, 20, 1.2, "as England"},
	} {
		h := set(t, c.set).Hedge()
		assert.Equal(t, 2, h.Rows, c.set)
		assert.Equal(t, []float64{c.perMetre, c.rowGap, c.fill, c.tree, c.far}, []float64{h.PerMetre, h.RowGapM, h.FillPerMetre, h.TreeEveryM, h.FenceM}, "%s (%s)", c.set, c.source)
		assert.Equal(t, 1.0, h.CloseByLayingM)
		assert.Equal(t, c.set != "wales", h.Split.Holds(20), c.set)
	}
}

// Closed seasons by country, with what is excepted for laying and coppicing.
func TestClosedSeasons(t *testing.T) {
	for _, c := range []struct{ set, from, until, coppice, lay, source string }{
		{"general", "03-01", "08-31", "04-30", "04-30", "as England"},
		{"england", "03-01", "08-31", "04-30", "04-30", "Management of Hedgerows (England) Regulations 2024: laying and coppicing to 30 April"},
		{"wales", "03-01", "08-31", "03-31", "03-31", "Welsh cross compliance: laying and coppicing in March only"},
		{"scotland", "03-01", "08-31", "02-28", "03-31", "SSI 2014/325: hedge laying to 31 March"},
		{"northern-ireland", "03-01", "08-31", "02-28", "02-28", "DAERA cross compliance: neither"},
		{"ireland", "03-01", "08-31", "02-28", "02-28", "Wildlife Act 1976 s.40 as amended; GLAS window 1 September to 28 February"},
	} {
		for name, want := range map[string]string{"closed_from": c.from, "closed_until": c.until, "coppice_until": c.coppice, "lay_until": c.lay} {
			l, ok := set(t, c.set).Get("season.cut", name)
			require.True(t, ok, c.set, name)
			assert.Equal(t, want, l.Text, "%s %s: %s", c.set, name, c.source)
			assert.True(t, l.Safety)
		}
	}
}
