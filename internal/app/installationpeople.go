package app

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"budcall/internal/config"
	"budcall/internal/postgres"
)

// Named is a person as a programme names them.
type Named struct {
	Programme string `json:"programme"` // codes
	Person    string `json:"person"`
}

// Elsewhere lists under which codes the other programmes of an installation name
// somebody with one of a person's mail addresses: to forget a person is each
// programme's own. It is asked before they are forgotten here, since nobody
// knows their addresses afterwards.
func (b *Beside) Elsewhere(ctx context.Context, o Options, code string) (others []Named, err error) {
	if o.home == (home{}) {
		return nil, nil
	}
	known, err := b.addresses(ctx, code)
	if err != nil || len(known) == 0 {
		return nil, err
	}
	above, own := filepath.Dir(o.State), filepath.Base(o.State)
	for _, other := range homesIn(above) {
		if other == own {
			continue
		}
		people, err := peopleOf(ctx, Options{State: above}, other)
		if err != nil {
			return nil, fmt.Errorf("asking whether the programme %s knows the person too: %w", other, err)
		}
		for _, p := range people {
			n := Named{other, p.Code}
			if slices.Contains(known, strings.ToLower(p.Email)) && !slices.Contains(others, n) {
				others = append(others, n)
			}
		}
	}
	return others, nil
}

// addresses gives every mail address that a person was ever known by here, in
// small letters.
func (b *Beside) addresses(ctx context.Context, code string) (known []string, err error) {
	_, known, err = b.db.Traces(ctx, code)
	if err != nil {
		return nil, err
	}
	err = b.db.Versions(ctx, func(files map[string][]byte) error {
		for _, p := range config.NamedIn(files) {
			if p.Code == code {
				known = append(known, p.Email)
			}
		}
		return nil
	})
	for i := range known {
		known[i] = strings.ToLower(known[i])
	}
	return slices.DeleteFunc(known, func(a string) bool { return a == "" }), err
}

// peopleOf gives everybody whom a programme's configurations ever named. Its
// database is reached as it is, since the one who asks has the private
// PostgreSQL running.
func peopleOf(ctx context.Context, o Options, code string) (people []config.Named, err error) {
	if o, err = o.homeOf(code).addressed(); err != nil {
		return nil, err
	}
	if o.DSN == "" {
		if o.DSN, err = runningAt(o.pgDir(), o.home.database); err != nil {
			return nil, err
		}
	}
	db, err := postgres.Open(ctx, postgres.Options{DSN: o.DSN, MaxConns: 1})
	if err != nil {
		return nil, err
	}
	defer db.Close()
	err = db.Versions(ctx, func(files map[string][]byte) error {
		people = append(people, config.NamedIn(files)...)
		return nil
	})
	return people, unusedIsNobody(err)
}

// unusedIsNobody takes a database without tables for one that knows nobody.
func unusedIsNobody(err error) error {
	if err == nil || postgres.Unmade(err) {
		return nil
	}
	return postgres.Explain(err)
}
