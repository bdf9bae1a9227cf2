package config

import "budcall/internal/season"

// readProgramme reads the rest of the programme's own file.
func (r *reading) readProgramme(top *section) {
	p := r.programme
	p.Code = top.need("code", "a short name in capitals, such as NORTH").code(placeForm)
	p.Name = top.need("name", "the programme's name as people know it").text()
	r.readOffice(top)
	p.Mail = readMail(top.need("mail", "at least relay and from").section(), p.Name)
	p.Inbox = readInbox(top.get("inbox"), p.Mail.From)
	p.Ribbons = readRibbons(top.get("ribbons"))
	names := newCodes("webhook", programmeFile)
	for _, e := range top.get("webhooks").list() {
		p.Webhooks = append(p.Webhooks, readWebhook(e.section(), names))
	}
	r.readAddresses(top)
	database := top.get("database").section()
	p.Database.DSNFile = database.secret("dsn_file", "dsn", "url", "address", "password").filePath()
	database.done()
	r.readSlots(top.get("slots").section())
	p.RawCopyDays = usualRawCopyDays
	top.get("raw_copies_days").into(&p.RawCopyDays, bounds{30, 36500, "days for which what providers sent is kept as it came"})
	p.LetterDays, p.JournalDays = usualLetterDays, usualJournalDays
	top.get("letters_days").into(&p.LetterDays, bounds{400, 36500, "days for which what letters said is kept"})
	top.get("journal_days").into(&p.JournalDays, bounds{30, 36500, "days for which the journal is kept"})
	calls := top.get("calls").section()
	p.Settings = readSettings(calls, season.Defaults())
	calls.done()
	p.Editing = readEditing(top.get("sites_by_page"))
	top.done()
}

// usualRawCopyDays is two seasons and the time between them: our assumption.
const usualRawCopyDays = 800

// usualLetterDays and usualJournalDays are two seasons and the time between
// them, too; the least that letters are kept is a season: answers refer to them.
const (
	usualLetterDays  = 800
	usualJournalDays = 800
)

// readOffice reads who does what for the whole programme.
func (r *reading) readOffice(top *section) {
	p := r.programme
	p.Coordinator = r.people.refer(top.need("coordinator", "the code of a person in "+peopleFile))
	deputy := top.get("coordinator_deputy")
	p.CoordinatorDeputy = r.people.refer(deputy)
	if p.CoordinatorDeputy != "" && p.CoordinatorDeputy == p.Coordinator {
		deputy.problem("is the coordinator", "name somebody else, or remove the line")
	}
	p.Laboratory = r.people.refer(top.get("laboratory"))
	p.Ops = r.people.refer(top.need("ops", "the code of the person who looks after the program"))
}

// readAddresses reads where we can be reached.
func (r *reading) readAddresses(top *section) {
	p := r.programme
	p.Listen = orElse(top.get("listen").hostPort(), "127.0.0.1:8484")
	metrics := top.get("metrics")
	p.Metrics = orElse(metrics.hostPort(), "127.0.0.1:8485")
	if p.Metrics == p.Listen && !portZero(p.Listen) {
		metrics.problem("is the same address as listen", "give it a port of its own")
	}
	public := top.get("public_url")
	p.PublicURL = public.baseURL()
	switch {
	case public.set():
		if p.PublicURL != "" && isPlainHTTP(p.PublicURL) && !IsLoopback(hostOfURL(p.PublicURL)) {
			public.warn("signed links travel in the open", "use https")
		}
	case !IsLoopback(hostOf(p.Listen)):
		public.problem("is missing, and listen is open to others", "the address at which people reach it, such as https://buds.example, since the links in mails begin with it")
	default:
		p.PublicURL = "http://" + p.Listen
	}
}

// readRibbons reads the colours that tell selfing from control.
func readRibbons(e entry) Ribbons {
	s := e.section()
	selfing, control := s.get("selfing"), s.get("control")
	r := Ribbons{Selfing: selfing.text(), Control: control.text()}
	switch {
	case e.set() && (r.Selfing == "" || r.Control == ""):
		e.problem("names one colour", "name two, selfing and control, or remove the setting")
	case r.Selfing != "" && r.Selfing == r.Control:
		control.problem("is the colour of selfing", "choose another: the ribbons tell them apart")
	}
	s.done()
	return r
}
