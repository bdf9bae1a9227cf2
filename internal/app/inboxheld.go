package app

import (
	"context"

	"budcall/internal/link"
	"budcall/internal/postgres"
	"budcall/internal/web"
	"budcall/internal/words"
)

// Held gives what a mail that waits would store. Only who was asked may see it.
func (p *pages) Held(ctx context.Context, c link.Claim) (web.Held, bool, error) {
	who, known := p.programme().Person(c.Person)
	h, found, err := p.db.HeldMail(ctx, c.Arrived())
	if err != nil || !found || !known || h.Asked != c.Person || len(h.Reports) == 0 {
		return web.Held{}, false, err
	}
	out := web.Held{Lang: who.Lang, Confirmed: h.Confirmed}
	words := words.For(who.Lang)
	for _, r := range h.Reports {
		out.Lines = append(out.Lines, words.Said(r))
	}
	return out, true, nil
}

// Confirm stores what a mail that waits says.
func (p *pages) Confirm(ctx context.Context, c link.Claim) (stored bool, err error) {
	h, found, err := p.db.HeldMail(ctx, c.Arrived())
	if err != nil || !found || h.Asked != c.Person {
		return false, err
	}
	now, err := p.now(ctx)
	if err != nil {
		return false, err
	}
	key := mailKey(h.Key)
	then := p.engine.occasion(runReport, key, now, sitesOf(postgres.Inbound{Reports: h.Reports}))
	return p.db.ConfirmMail(ctx, h.ID, key, now, then)
}
