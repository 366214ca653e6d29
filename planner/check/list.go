package check

// Rules is the list of every rule, in the order that --explain shows them. Adding a rule is its file and its line here.
func Rules() []*Rule {
	return []*Rule{
		inputGeometry(), inputProperty(), inputSpecies(), inputMended(), inputKind(), inputID(), inputOverlap(), inputWidth(), inputSwapped(), inputLimits(),
		sameSpot(), tooClose(), tooWide(), crownsMeet(), obstructed(),
		setbackBuilding(), setbackOverheadLine(), setbackService(), setbackDrain(), setbackSeptic(), setbackWell(), setbackWater(), setbackDitch(),
		setbackRoad(), setbackPath(), setbackBoundary(),
		windbreakLength(), windbreakDensity(), windbreakAngle(), windbreakGap(), windbreakReach(), windbreakCrowding(), windbreakFrost(),
		groundMoisture(), groundSoil(), groundExposure(), groundPlanting(), groundPeat(), groundProtected(), groundConsent(),
		hedgeDensity(), hedgeMix(), hedgeNative(), hedgeThorns(), hedgeGap(), hedgeGapShare(), hedgeCondition(), hedgeFill(), hedgeFence(), hedgeTrees(), hedgeBuffer(),
		guardBrowsing(), orchardPollination(), orchardMargin(), orchardRootstock(),
		stockToxic(), plantRegulated(), plantDisease(), plantSuckers(),
		seasonPlant(), seasonCut(), woodClosed(), woodShare(), woodAsh(), woodWires(), woodLicence(), woodShortfall(),
		lightBed(), lightBuilding(),
	}
}

// Quick is the rules that are not Slow, and the ids of those that are.
func Quick() (list []*Rule, left []string) {
	for _, r := range Rules() {
		if r.Slow {
			left = append(left, r.ID)
		} else {
			list = append(list, r)
		}
	}
	return list, left
}

// Find is the rule with that id, or nil.
func Find(id string) *Rule {
	for _, r := range Rules() {
		if r.ID == id {
			return r
		}
	}
	return nil
}
