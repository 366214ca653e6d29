// Package wood works out which length of hedge and coppice to cut in which winter, what logs and chip that gives, when the
// logs are dry, and whether they heat the house and mulch what is planted without cutting more than grows.
//
// The way runs: Sections divides hedges and groves, Problem.Solve gives each section its winters, and Plan weighs wood and
// chip winter by winter. Masses are tonnes of dry wood unless a name says otherwise; moisture is percent of the wet mass;
// energy is net (lower heating value), and heat is useful heat, after the stove. A winter is named by the year in which it
// starts. Low, mid and high follow the published range of yields, never a guess.
//
// Every figure stands in a CSV file of this folder with its source and how far it can be trusted.
package wood
