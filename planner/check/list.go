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
	}
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
