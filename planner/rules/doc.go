// Package rules holds the rule sets: the figures that the checks and setting out read, as data.
//
// A rule set is a table of rule, limit, comparison, value, unit, source, year, confidence and note. Limits come from the plan's
// own limits (Set.With), then the chosen rule set, then general. The file of a country holds only what differs. Where bodies
// differ general takes England's figure, and its note says who differs and how; figures that nobody applies here stand in
// opinions.csv and are shown beside (Set.Others). Which limits are a matter of safety or law stands in safety.csv.
//
// The comparison is what a measured value must satisfy, so that "exactly 10 percent" and "exactly 20 m" can differ by rule set.
// "=" marks a default or a word that is read, not measured. Some limits are exemptions: they hold where a rule does not bind
// (hedge.buffer exempt_field_ha, ground.consent free_below_ha, setback.water small_channel_below_m). An empty value is a limit
// that is declared but unknown: Get is then false, and the note says why.
//
// In the table below each limit stands with general's comparison, value and unit; a "!" marks safety and law. Service limits
// are named carries_class_least_m, zone factors zone_factor_demand, guards and reach by the animal's name in the plan.
//
//	ground.consent
//		free_below_ha < 2 ha !
//		full_over_ha <= 5 ha !
//		sensitive_free_below_ha < unknown ha !
//		forest_below_ha < unknown ha !
//	ground.moisture
//		raised_least_m >= 0.1 m
//		raised_classes = 1 classes
//		mound_m = 0.2 m
//	ground.peat
//		depth_greatest_m <= 0.3 m !
//		warn_over_m <= 0.1 m
//		organic_greatest_percent <= 30 percent !
//	ground.planting
//		bare_root_from = 11-01 date
//		bare_root_until = 03-31 date
//		wet_clay_from = 02-01 date
//		wet_clay_until = 03-31 date
//		wet_clay_method = pit|mound|ridge list
//		strip_m = 1.5 m
//		bank_width_least_m >= 1 m
//		bank_height_least_m >= 0.3 m
//	ground.protected
//		monument_buffer_m >= 20 m !
//	ground.soil
//		acid_below_ph < 5 pH
//		acid_r_below < 7 R
//		limy_over_ph > 7 pH
//		limy_r_over > 3 R
//		middling_to_ph <= 6.5 pH
//		middling_r_over > 2 R
//		middling_r_below < 8 R
//		acid_bear = Crataegus monogyna|... list
//		limy_bear = Sorbus aucuparia list
//	guard.browsing
//		rabbits_least_m >= 0.6 m
//		hares_least_m >= 0.75 m
//		roe_least_m >= 1.2 m
//		red_least_m >= 1.8 m
//		fallow_least_m >= 1.8 m
//		sheep_least_m >= 1.5 m
//		cattle_least_m >= 2 m
//		horses_least_m >= 1.8 m
//		goats_least_m >= 1.8 m
//		pigs_least_m >= unknown m
//		poultry_least_m >= unknown m
//		stem_clear_least_m >= 0.5 m
//		vole_mulch_greatest_m <= unknown m
//	hedge.buffer
//		buffer_m >= 2 m !
//		exempt_under_years < 5 years !
//		exempt_field_ha <= 2 ha !
//		undisturbed_least_m >= 2 m
//		herb_strip_least_m >= 1 m
//	hedge.condition
//		height_least_m >= 1 m
//		width_least_m >= 1.5 m
//		width_greatest_m < 5 m
//		canopy_base_greatest_m < 0.5 m
//		after_cut_years <= 4 years
//	hedge.density
//		per_metre = 6 plants per m
//		per_metre_least >= 6 plants per m
//		single_row_per_metre_least >= 3 plants per m
//	hedge.fence
//		fence_least_m >= 1.2 m
//		protect_years <= 3 years
//	hedge.fill
//		fill_per_metre = 6 plants per m
//		fill_per_metre_least >= 6 plants per m
//		close_by_laying_below_m < 1 m
//		gateway_clear_m = 0.5 m
//		stem_clear_spacings = 0.5 spacings
//	hedge.gap
//		gap_greatest_m <= 5 m
//		gateway_exempt = yes word
//	hedge.gap-share
//		gap_share_percent < 10 percent
//	hedge.layout
//		rows = 2 rows
//		row_gap_m = 0.4 m
//		single_row_below_width_m < 1 m
//	hedge.mix
//		greatest_share_percent <= 70 percent
//		species_least >= 2 species
//		listed = unknown list
//	hedge.native
//		native_share_percent >= 100 percent
//		existing_native_share_percent >= 80 percent
//	hedge.split
//		gap_m <= 20 m
//		length_least_m >= 20 m
//		turn_below_deg < 90 deg
//	hedge.thorns
//		thorny_share_percent >= 75 percent
//	hedge.trees
//		tree_spacing_m = 20 m
//		tree_spacing_least_m >= 20 m
//		tree_spacing_greatest_m <= 50 m
//		trees_per_100_m_least >= 1 plants per 100 m
//		tree_height_least_m >= 2 m
//	input.width
//		from_origin_greatest_m <= 5000 m
//	light.building
//		keeps_least_percent >= 80 percent
//	orchard.margin
//		beyond_half_spread_least_m >= 1 m
//		bush_least_m >= 3 m
//		standard_least_m >= 5 m
//		headland_least_m >= 4.5 m
//		alley_hand_least_m >= 1.2 m
//		alley_compact_least_m >= 2 m
//		alley_tractor_least_m >= 3 m
//		traditional_greatest_per_ha < 150 plants per ha
//	orchard.pollination
//		partner_within_m <= 18 m
//		partner_beyond_m <= 100 m
//		hazel_partner_within_m <= 15 m
//		chestnut_partner_within_m <= 60 m
//		group_difference_greatest <= 1 groups
//		overlap_least_days >= 1 days
//		triploid_partners_least >= 2 plants
//	orchard.rootstock
//		standing_water_greatest_days <= 1 days
//		standing_water_fail_days <= 2 days
//	plant.suckers
//		bed_least_m >= unknown m
//	season.cut
//		closed_from = 03-01 date !
//		closed_until = 08-31 date !
//		coppice_until = 04-30 date !
//		lay_until = 04-30 date !
//		dormant_from = 10-01 date !
//		dormant_until = 03-31 date !
//	season.plant
//		container_from = 09-01 date
//		cuttings_from = 02-01 date
//		cuttings_until = 04-30 date
//	setback.boundary
//		beyond_half_width_least_m >= 0.5 m
//		clear_of_line_least_m > 0.5 m
//		high_hedge_greatest_m <= 2 m !
//		high_hedge_below_plants < 2 plants !
//		high_hedge_of = evergreen word !
//	setback.building
//		zone_factor_high >= 1.25 heights !
//		zone_factor_moderate >= 0.75 heights !
//		zone_factor_low >= 0.5 heights !
//		unknown_demand = high word !
//		unlisted_broadleaf_demand = moderate word !
//		unlisted_conifer_demand = high word !
//		windthrow_heights_least >= 1 heights !
//		climber_least_m > 3 m !
//		forest_dwelling_least_m >= unknown m !
//	setback.ditch
//		digger_bank_least_m >= 4 m
//		other_bank_least_m >= 2 m
//		forest_least_m >= unknown m
//	setback.drain
//		willow_poplar_least_m >= 12 m
//		alder_least_m >= 10 m
//		large_tree_least_m >= 10 m
//		medium_tree_least_m >= 6 m
//		shrub_least_m >= 2 m
//	setback.overhead-line
//		reach_heights_least >= 1 heights !
//		clearance_to_33_kv_m >= 3 m !
//		clearance_66_kv_m >= 3.2 m !
//		clearance_132_kv_m >= 3.6 m !
//		clearance_275_kv_m >= 4.6 m !
//		clearance_400_kv_m >= 5.3 m !
//		clearance_unknown_kv_m >= 5.3 m !
//		strip_least_m >= 5 m !
//		shrub_least_m >= 3 m !
//		under_height_greatest_m <= 3 m !
//		hedgerow_tree_least_m >= 20 m !
//		forest_half_width_110_kv_least_m >= unknown m !
//		forest_half_width_220_kv_least_m >= unknown m !
//		forest_half_width_400_kv_least_m >= unknown m !
//	setback.path
//		footpath_width_least_m >= 1 m !
//		footpath_edge_width_least_m >= 1.5 m !
//		bridleway_width_least_m >= 2 m !
//		bridleway_edge_width_least_m >= 3 m !
//		headroom_least_m >= 2.4 m !
//	setback.railway
//		listed_small_least_m > 5 m !
//		listed_large_least_m > 10 m !
//		never = Acer pseudoplatanus|... list !
//		track_clear_least_m >= 6.5 m !
//		heights_least >= 1 heights !
//	setback.road
//		centre_least_m >= 4.572 m !
//		forest_broadleaf_least_m >= unknown m
//		forest_conifer_least_m >= unknown m
//		headroom_least_m >= 5.05 m !
//	setback.septic
//		willow_poplar_least_m >= 12 m
//		large_tree_least_m >= 10 m
//		medium_tree_least_m >= 6 m
//		shrub_least_m >= 2 m
//	setback.service
//		sewer_willow_poplar_least_m >= 12 m !
//		sewer_large_tree_least_m >= 10 m !
//		sewer_medium_tree_least_m >= 6 m !
//		sewer_shrub_least_m >= 2 m !
//		water_willow_poplar_least_m >= 12 m !
//		water_large_tree_least_m >= 10 m !
//		water_medium_tree_least_m >= 6 m !
//		water_shrub_least_m >= 2 m !
//		gas_willow_poplar_least_m >= 10 m !
//		gas_large_tree_least_m >= 6 m !
//		gas_medium_tree_least_m >= 6 m !
//		gas_shrub_least_m >= 0 m !
//		gas_mass_planting_least_m >= 10 m !
//		electricity_willow_poplar_least_m >= 3 m !
//		electricity_large_tree_least_m >= 3 m !
//		electricity_medium_tree_least_m >= 1.5 m !
//		electricity_shrub_least_m >= 0.5 m !
//		telecoms_willow_poplar_least_m >= 3 m !
//		telecoms_large_tree_least_m >= 3 m !
//		telecoms_medium_tree_least_m >= 1.5 m !
//		telecoms_shrub_least_m >= 0.5 m !
//		unknown_willow_poplar_least_m >= 12 m !
//		unknown_large_tree_least_m >= 10 m !
//		unknown_medium_tree_least_m >= 6 m !
//		unknown_shrub_least_m >= 2 m !
//		hedgerow_tree_least_m >= 20 m !
//	setback.water
//		consent_main_river_m > 8 m !
//		consent_drainage_board_m > 8 m !
//		small_channel_below_m < 2 m
//		forest_small_channel_least_m >= 10 m
//		forest_large_channel_least_m >= 20 m
//		green_cover_centre_m >= 2 m !
//		green_cover_bank_top_m >= 1 m !
//	setback.well
//		willow_poplar_least_m >= 12 m
//		large_tree_least_m >= 10 m
//		medium_tree_least_m >= 6 m
//		shrub_least_m >= 2 m
//		forest_least_m >= 50 m
//	spacing.crowns-meet
//		mean_spreads_least >= 1 spreads
//		note_after_years <= 20 years
//	spacing.same-spot
//		apart_least_m > 0.15 m
//		shared_end_m <= 0.5 m
//	spacing.too-close
//		cordon_least_m >= 0.6 m
//		espalier_least_m >= 3.75 m
//		fan_least_m >= 3.6 m
//		dwarf_pyramid_least_m >= 1.5 m
//		stepover_least_m >= 1.2 m
//		spindle_least_m >= 0.9 m
//		half_standard_least_m >= 5 m
//		standard_least_m >= 7 m
//		windbreak_alder_least_m >= 1 m
//		windbreak_willow_poplar_least_m >= 0.8 m
//		windbreak_pine_least_m >= 1 m
//		windbreak_leyland_least_m >= 1.5 m
//		windbreak_slow_conifer_least_m >= 2 m
//		windbreak_shrub_least_m >= 1 m
//		windbreak_tree_least_m >= 1 m
//		windbreak_row_gap_least_m >= 1.5 m
//	spacing.too-wide
//		cordon_greatest_m <= 0.9 m
//		espalier_greatest_m <= 6 m
//		fan_greatest_m <= 5.5 m
//		dwarf_pyramid_greatest_m <= 2 m
//		stepover_greatest_m <= 1.5 m
//		spindle_greatest_m <= 1.5 m
//		half_standard_greatest_m <= 6 m
//		standard_greatest_m <= 10 m
//		windbreak_alder_greatest_m <= 3 m
//		windbreak_willow_poplar_greatest_m <= 1.5 m
//		windbreak_pine_greatest_m <= 2 m
//		windbreak_leyland_greatest_m <= 3 m
//		windbreak_slow_conifer_greatest_m <= 3.5 m
//		windbreak_shrub_greatest_m <= 2 m
//		windbreak_tree_greatest_m <= 2.5 m
//		windbreak_row_gap_greatest_m <= 3 m
//	stock.toxic
//		stop_classes = high|extreme list
//		reach_cattle_m > 1 m
//		reach_horses_m > 1.5 m
//		reach_sheep_m > 0.3 m
//		reach_goats_m > 0.5 m
//		reach_pigs_m > 1.5 m
//		reach_poultry_m > 1.5 m
//	windbreak.angle
//		off_square_greatest_deg <= 40 deg
//		well_met_least_percent >= unknown percent
//	windbreak.crowding
//		heights_least >= 1 heights
//	windbreak.density
//		crops_least_percent >= 40 percent
//		crops_greatest_percent <= 60 percent
//		buildings_least_percent >= 65 percent
//		buildings_greatest_percent <= 85 percent
//		livestock_least_percent >= 65 percent
//		livestock_greatest_percent <= 85 percent
//		open_rows_least_percent = 25 percent
//		open_rows_greatest_percent = 50 percent
//		middling_rows_least_percent = 50 percent
//		middling_rows_greatest_percent = 65 percent
//		dense_rows_least_percent = 65 percent
//		row_evergreen_percent = 50 percent
//		row_shrub_percent = 30 percent
//		row_tree_percent = 25 percent
//		bare_keeps_percent = 33.333333 percent
//		bare_density_keeps_percent = 55.555556 percent
//		base_greatest_m < 0.5 m
//	windbreak.frost
//		density_greatest_percent <= 60 percent
//		off_contour_least_deg > 30 deg
//		slope_greatest_percent <= 3 percent
//	windbreak.gap
//		end_speed_up_percent = 20 percent
//		gap_speed_up_percent = 20 percent
//		lane_slant_least_deg >= unknown deg
//	windbreak.length
//		heights_least >= 10 heights
//		height_year = 20 years
//	windbreak.reach
//		heights_least >= 2 heights
//		heights_greatest <= 10 heights
//		inside_least_percent >= 50 percent
//		height_year = 20 years
//	wood.licence
//		quarter_greatest_m3 <= 5 m3 !
//		sold_greatest_m3 <= 2 m3 !
//		coppice_stem_greatest_m <= 0.15 m !
//		year_greatest_m3 <= unknown m3 !
//		tree_greatest_m3 <= unknown m3 !
//		removal_least_m >= 20 m !
//	wood.share
//		greatest_share_percent <= 10 percent
//	wood.wires
//		work_least_m >= 10 m !
//		fell_tree_heights >= 2 heights !
package rules
