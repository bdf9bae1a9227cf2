package rehearse

import (
	"context"
	"fmt"
	"sync"
)

// NeedPast takes out the seasons of which the station shows fewer than n
// earlier years, for every plan alike: the years are refused with the reason.
func (t *Trial) NeedPast(n int) {
	var kept []*Season
	for _, s := range t.Seasons {
		past := 0
		for year, means := range s.station.Means {
			if year < s.Year && len(means) >= 365 {
				past++
			}
		}
		if past >= n {
			kept = append(kept, s)
			continue
		}
		t.refuse(s, fmt.Sprintf("its file has fewer than %d earlier years to forecast from", n))
	}
	t.Seasons = kept
}

// Ours plays seasons by the program itself, so many beside each other, and ends
// with the first that fails. progress is called after each; stories has what was
// told where keep asks for it.
func (t *Trial) Ours(ctx context.Context, o Ours, seasons []*Season, workers int, keep bool, progress func(done, total int)) (map[*Season]Story, error) {
	base, err := template()
	if err != nil {
		return nil, err
	}
	of := bySite(t.Seasons)
	queue := make(chan *Season)
	stories := map[*Season]Story{}
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	var lock sync.Mutex
	var group sync.WaitGroup
	for range max(1, workers) {
		group.Go(func() {
			for s := range queue {
				story, err := o.play(ctx, base, s, o.earlier(s, of), keep)
				if err != nil {
					stop(err) // the first counts
				}
				lock.Lock()
				stories[s] = story
				if progress != nil {
					progress(len(stories), len(seasons))
				}
				lock.Unlock()
			}
		})
	}
	for _, s := range seasons {
		if ctx.Err() != nil {
			break
		}
		queue <- s
	}
	close(queue)
	group.Wait()
	return stories, context.Cause(ctx)
}

// PlaysOf gives what the judge needs of stories.
func PlaysOf(stories map[*Season]Story) map[*Season]Played {
	plays := make(map[*Season]Played, len(stories))
	for s, st := range stories {
		plays[s] = st.Played
	}
	return plays
}
