// Package archtest holds the tree, and DEVELOPERS.md, to the table of
// packages: which rows there are, who may import whom, and what a pure package
// keeps away from.
package archtest

// Kind is what a package may do.
type Kind string

// The kinds.
const (
	Pure    Kind = "pure"          // values in, values out: no I/O, clock, zones or global chance
	Bytes   Kind = "bytes, values" // the same, between bytes and values
	Job     Kind = "job"           // sees interfaces of its own
	Adapter Kind = "adapter"       // sees one technology
	Wiring  Kind = "wiring"
	Tests   Kind = "tests only"
)

// Package is one package of internal/ and its place.
type Package struct {
	Row  int
	Name string
	Kind Kind
	What string // as DEVELOPERS.md says it
}

// Table is the packages; each imports only rows above its own.
var Table = []Package{
	{1, "civil", Pure, "days and ranges"},
	{2, "schedule", Pure, "cron rules, due slots (robfig/cron's parser inside)"},
	{2, "call", Pure, "tasks, standings, reasons"},
	{2, "link", Pure, "signed links"},
	{2, "archive", Bytes, "the file of a backup"},
	{3, "pseudonym", Bytes, "a pseudonym in the place of a person, in every kind of copy"},
	{3, "weather", Pure, "readings, plausibility, which station serves a site"},
	{3, "trail", Pure, "trees, bags, lots, reports, the isolation check"},
	{4, "degreeday", Pure, "published methods, heats, accumulation"},
	{4, "ensemble", Pure, "members, day distributions, scores"},
	{5, "stage", Pure, "profiles, what heat a stage needs, when it is reached"},
	{6, "season", Pure, "days of each call, what is owed to whom and why"},
	{6, "hindcast", Pure, "past seasons forecast and scored"},
	{7, "config", Bytes, "files to checked values, or all problems"},
	{7, "feed", Bytes, "weather formats to days and rejects"},
	{7, "report", Bytes, "replies by mail to reports"},
	{7, "words", Bytes, "texts by language"},
	{8, "notice", Bytes, "letters to mail bytes"},
	{8, "sheet", Bytes, "tables to checked values, and values to tables"},
	{8, "chart", Bytes, "a season, or scores, to a picture"},
	{9, "pull", Job, "asks one source and stores what it brought"},
	{9, "advance", Job, "carries a site on by a day"},
	{9, "tell", Job, "turns what is owed into letters"},
	{9, "deliver", Job, "sends one letter and settles it"},
	{9, "postgres", Adapter, "the memory and the job queue (pgx, River)"},
	{9, "localpg", Adapter, "a private PostgreSQL"},
	{9, "fetch", Adapter, "polite HTTP, files"},
	{9, "mail", Adapter, "SMTP (go-smtp)"},
	{9, "inbox", Adapter, "replies in: LMTP, SMTP, IMAP (go-smtp, go-imap)"},
	{9, "webhook", Adapter, "signed HTTP messages"},
	{9, "metrics", Adapter, "Prometheus (client_golang), health, systemd"},
	{9, "web", Adapter, "season board and form"},
	{10, "app", Wiring, "start and stop order, the engine, what joins jobs and adapters"},
	{11, "demo", Wiring, "plays the invented season"},
	{11, "replay", Wiring, "plays a past season in memory, through the same jobs"},
	{12, "rehearse", Wiring, "hidden seasons, people, and the plans tried on them"},
	{13, "cli", Wiring, "commands"},
	{0, "testpg", Tests, "a migrated database for each test"},
	{0, "archtest", Tests, "this table"},
}
