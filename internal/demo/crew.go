package demo

import (
	"container/heap"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"net/url"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/words"
)

// crew is the simulated people of a programme. They know what their mails and
// the forms say, and what they see at the trees; nothing else.
type crew struct {
	programme *config.Programme
	browser   browser
	truths    map[string]truth // by site
	odd       oddities
	rng       *rand.Rand
	todo      agenda
	plans     map[task]plan // who goes where and when: people ring each other
	looked    map[string]bool
	frosts    map[string]frost // by site
	post      post
	bench     bench
	torn      map[string]string // by site, the tree of which a bag is torn and not yet replaced
}

// task is a call at a site.
type task struct {
	site string
	call call.Task
}

// plan is that somebody goes.
type plan struct {
	person string
	day    civil.Date
}

// oddities is what goes wrong with people, once each: by site, spread over as
// many sites as there are.
type oddities struct {
	silent task // its first person never answers
	cannot task // its first person can't
	early  task // its first person looks at the buds when told to plan, and finds them closed
	bare   task // one of its trees bears no catkins
	torn   task // a bag is found torn
	mailed task // its first person answers by mail, with a photo
	parcel task // its packets are entered one by one, one of them miswritten
	heard  map[string]bool
}

func oddOnes(sites []config.Site) oddities {
	at := func(i int, c call.Task) task { return task{sites[i%len(sites)].Code, c} }
	return oddities{
		bare: at(3, call.SurveyTrees), torn: at(1, call.CheckBags), mailed: at(3, call.BagOn), parcel: at(1, call.LotExpected),
		cannot: at(0, call.TakeOff), silent: at(1, call.BagOn), early: at(2, call.BagOn), heard: map[string]bool{},
	}
}

// act is something that somebody does at a time.
type act struct {
	at  time.Time
	seq int
	do  func(context.Context, time.Time) error
}

// agenda is what is still to be done, the earliest first.
type agenda struct {
	acts []act
	seq  int
}

func (a *agenda) Len() int { return len(a.acts) }
func (a *agenda) Less(i, j int) bool {
	if a.acts[i].at.Equal(a.acts[j].at) {
		return a.acts[i].seq < a.acts[j].seq
	}
	return a.acts[i].at.Before(a.acts[j].at)
}
func (a *agenda) Swap(i, j int) { a.acts[i], a.acts[j] = a.acts[j], a.acts[i] }
func (a *agenda) Push(x any)    { a.acts = append(a.acts, x.(act)) }
func (a *agenda) Pop() any {
	last := a.acts[len(a.acts)-1]
	a.acts = a.acts[:len(a.acts)-1]
	return last
}

func (c *crew) plan(at time.Time, do func(context.Context, time.Time) error) {
	c.todo.seq++
	heap.Push(&c.todo, act{at.UTC().Truncate(time.Minute), c.todo.seq, do})
}

// next gives the time of the next act.
func (c *crew) next() (time.Time, bool) {
	if len(c.todo.acts) == 0 {
		return time.Time{}, false
	}
	return c.todo.acts[0].at, true
}

// act does the next act.
func (c *crew) act(ctx context.Context) error {
	a := heap.Pop(&c.todo).(act)
	return a.do(ctx, a.at)
}

// How long people take to open a mail, and when they are awake.
const (
	medianAnswer = 6 * time.Hour
	answerLogSD  = 0.7
	wakes        = 7  // hour of the person's day
	sleeps       = 22 // hour
)

// receive lets people find a letter some time after it came.
func (c *crew) receive(l letter) {
	who, ok := c.person(l.to)
	if !ok {
		return
	}
	took := time.Duration(float64(medianAnswer) * math.Exp(answerLogSD*c.rng.NormFloat64()))
	at := c.awake(who, l.at.Add(took))
	for i, link := range l.links {
		c.plan(at.Add(time.Duration(3*i)*time.Minute), func(ctx context.Context, now time.Time) error {
			return c.read(ctx, visit{who: who, link: link, mail: l, now: now})
		})
	}
}

// awake moves a time out of the person's night.
func (c *crew) awake(who config.Person, at time.Time) time.Time {
	local := at.In(who.Zone)
	day := civil.At(local)
	switch {
	case local.Hour() >= sleeps:
		day++
	case local.Hour() >= wakes:
		return at
	}
	return day.In(who.Zone, wakes, c.rng.IntN(120))
}

func (c *crew) person(address string) (config.Person, bool) {
	for _, p := range c.programme.People {
		if p.Email == address {
			return p, true
		}
	}
	return config.Person{}, false
}

// visit is somebody with a form before him, at home or at the trees.
type visit struct {
	who  config.Person
	link string
	mail letter // in which the link came
	now  time.Time
	task
	site config.Site
	form form
}

func (v visit) today() civil.Date { return civil.At(v.now.In(v.site.Zone)) }

func (v visit) words() *words.Catalogue { return words.For(v.who.Lang) }

// standing tells whether the form says that the call stands so.
func (v visit) standing(s call.Standing) bool {
	return len(v.form.standing) > 0 && v.form.standing[:min(len(v.words().Standing(s)), len(v.form.standing))] == v.words().Standing(s)
}

func (v visit) ended() bool {
	return v.standing(call.Done) || v.standing(call.NotNeeded) || v.standing(call.TooLate)
}

// open opens the form of a visit and finds out what it is about.
func (c *crew) open(ctx context.Context, v visit) (visit, error) {
	var err error
	if v.form, err = c.browser.open(ctx, v.link); err != nil {
		return v, err
	}
	for _, site := range c.programme.Sites {
		for _, t := range call.Tasks {
			if v.words().TaskAt(t, site.Name) == v.form.title {
				v.site, v.task = site, task{site.Code, t}
				return v, nil
			}
		}
	}
	return v, fmt.Errorf("the form %q is about no task and site that %s knows", v.form.title, v.who.Code)
}

// say sends the form with what was filled in.
func (c *crew) say(ctx context.Context, v visit, filled map[string]string) error {
	in := url.Values{}
	for name, value := range filled {
		in.Set(name, value)
	}
	return c.browser.send(ctx, v.form, in)
}
