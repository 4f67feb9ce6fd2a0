package plandoc

// Mark is what a printed sheet says beside the plan it was made from.
type Mark struct {
	// URL of the sheet's page, for its QR code; empty leaves the code out.
	URL string
	// Revision printed, 0 for a sheet that has not been issued.
	Revision int
	// ReplacedBy is the revision that replaced this one, 0 for the current one.
	ReplacedBy int
	// Issued is the instant of issue, RFC 3339, empty before.
	Issued string
	// Differences from the revision before, in words.
	Differences []string
	// Moved is what was meant for the day and is not on the sheet, and why, in words.
	Moved []string
}
