package app

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"potlife/cmd/potlife/internal/deliver"
)

// wentLines sends what was issued just now, as far as this process is set up to,
// and says of each sheet where it went. A sheet that is sent to nobody is warned
// of: what sends is written down when a sheet is issued, by the settings of
// whoever issues it.
func (d *Daemon) wentLines(ctx context.Context, outcomes []Outcome) (lines []string) {
	if !slices.ContainsFunc(outcomes, func(o Outcome) bool { return o.Issued > 0 }) {
		return nil
	}
	if _, err := d.DeliverDue(ctx); err != nil {
		lines = append(lines, "what goes out could not be sent now and is tried again by the daemon: "+err.Error())
	}
	at, name := (Pages{d.App}).dayClock(ctx), func(key string) string { return "crew " + key }
	if _, doc, err := d.current(ctx); err == nil {
		name = func(key string) string { return crewName(doc, key) }
	}
	silent := false
	for _, o := range outcomes {
		if o.Issued == 0 {
			continue
		}
		page := fmt.Sprintf("on its page %s/sheets/%s/%s", d.o.PublicURL, o.Crew, o.Date)
		messages, err := d.o.Store.MessagesOf(ctx, sheetID(o.Crew, o.Date.String(), o.Issued)+".")
		if err != nil {
			return append(lines, "where the sheets went could not be read: "+err.Error())
		}
		went := []string{page}
		for _, k := range slices.Sorted(maps.Keys(messages)) {
			went = append(went, wentWhere(messages[k], at))
		}
		if len(messages) == 0 {
			silent = true
			went = append(went, "sent to nobody")
		}
		lines = append(lines, fmt.Sprintf("%s: %s", name(o.Crew), strings.Join(went, "; ")))
	}
	if silent {
		lines = append(lines, d.silence())
	}
	return lines
}

// silence says why a sheet is sent to nobody and what to do.
func (d *Daemon) silence() string {
	what := "no folder, mail server or webhook is set for this command"
	if d.o.Post[deliver.Mail] != nil {
		what = "the crew has no e-mail address, and no folder or webhook is set for this command"
	}
	return "WARNING: nobody is sent such a sheet: " + what + `, so it is only on its page. Give the crew its link or the PDF from there. Before the next one, run this command with the settings of the daemon (--config FILE, or POTLIFE_FOLDER, POTLIFE_SMTP_HOST, POTLIFE_WEBHOOK_URL; "potlife config" shows what is in force), or leave issuing to the daemon.`
}
