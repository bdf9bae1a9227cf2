-- The memory of a season: weather in, what was forecast, how calls stand, what
-- people reported, who must be told, and the runs that work all this off.

create table accepted_config (
    id          bigint generated always as identity primary key,
    accepted_at timestamptz not null,
    sha256      bytea       not null,
    author      text        not null,
    files       jsonb       not null  -- path -> content
);

-- One row only while time is simulated; absent, the wall clock holds.
create table simulated_clock (
    one bool        primary key default true,
    at  timestamptz not null,
    constraint simulated_clock_is_one_row check (one)
);

-- A run is one slot of the schedule, or one occasion between slots.
create table run (
    id         bigint generated always as identity primary key,
    name       text        not null,          -- pull, evening, answer, report
    day        date        not null,          -- local date of the slot
    nominal    text        not null,          -- wall-clock time of the slot, or what tells occasions apart
    due_at     timestamptz not null,
    phase      text        not null,          -- begun, pull, advance, tell, done
    started_at timestamptz not null,
    done_at    timestamptz,
    beside     bool        not null default false, -- may go on beside others
    skipped    int         not null default 0, -- older slots that were left out before this one
    constraint run_slot_once unique (name, day, nominal),
    constraint run_phase_known check (phase in ('begun', 'pull', 'advance', 'tell', 'done'))
);
create index run_open on run (id) where phase <> 'done';

-- A piece of a run that is done exactly once, by whichever process gets to it.
create table work (
    id        bigint generated always as identity primary key,
    run_id    bigint      not null references run on delete cascade,
    phase     text        not null,
    key       text        not null,           -- station:CODE, outlook:SITE, sites:A,B, all
    queued_at timestamptz not null default now(),
    done_at   timestamptz,
    note      text        not null default '',
    constraint work_once_a_run unique (run_id, phase, key)
);
create index work_open on work (run_id) where done_at is null;

create table raw_copy (
    id         bigint generated always as identity primary key,
    source     text        not null,          -- station:CODE or outlook:SITE
    fetched_at timestamptz not null,
    sha256     bytea       not null,
    body       bytea       not null           -- gzip
);
create index raw_copy_by_source on raw_copy (source, id desc);

create table reject (
    raw_id bigint not null references raw_copy on delete cascade,
    line   int    not null,
    reason text   not null,
    text   text   not null
);
create index reject_by_raw on reject (raw_id);

-- What is known of a source as such: when it was asked, when it answered, what to send along next time.
create table source (
    source        text primary key,
    class         text        not null,       -- station, outlook
    tried_at      timestamptz not null,
    answered_at   timestamptz,
    newest        date,                       -- newest day with a usable reading
    error         text        not null default '',
    retry_at      timestamptz,                -- when to ask again before the next slot
    failures      int         not null default 0,
    sha256        bytea,
    expires_at    timestamptz,
    last_modified text        not null default '',
    etag          text        not null default ''
);

create table station_day (
    station text        not null,
    day     date        not null,
    min_c   float8,
    max_c   float8,
    mean_c  float8,
    mark    text        not null default '',
    raw_id  bigint      references raw_copy on delete set null,
    seen_at timestamptz not null,
    constraint station_day_key primary key (station, day)
);

-- What a provider said before it corrected itself.
create table station_day_before (
    station       text        not null,
    day           date        not null,
    min_c         float8,
    max_c         float8,
    mean_c        float8,
    mark          text        not null,
    seen_at       timestamptz not null,
    superseded_at timestamptz not null
);
create index station_day_before_key on station_day_before (station, day);

-- Past years, packed: see year.go for the layout of days.
create table station_year (
    station text     not null,
    year    smallint not null,
    days    bytea    not null,
    constraint station_year_key primary key (station, year)
);

create table outlook_day (
    site      text        not null,
    issued_at timestamptz not null,
    day       date        not null,
    min_c     float8,
    max_c     float8,
    mean_c    float8,
    constraint outlook_day_key primary key (site, issued_at, day)
);

-- A changed forecast is a row; an unchanged one isn't written again.
create table issued (
    site       text     not null,
    season     smallint not null,
    stage      smallint not null,
    issued_on  date     not null,
    p10        date,
    p50        date,
    p90        date,
    first_live date,
    live       bytea    not null,
    constraint issued_key primary key (site, season, stage, issued_on)
);

create table site_call (
    site      text        not null,
    season    smallint    not null,
    task      text        not null,
    standing  text        not null,
    answer_by timestamptz,
    state     jsonb       not null,
    constraint site_call_key primary key (site, season, task)
);
create index site_call_answer on site_call (answer_by) where answer_by is not null;

create table standing_change (
    id        bigint generated always as identity primary key,
    site      text        not null,
    season    smallint    not null,
    task      text        not null,
    at        timestamptz not null,
    standing  text        not null,
    reason    text        not null,
    first_day date,
    last_day  date
);
create index standing_change_by_call on standing_change (site, season, task, id);

create table report (
    id       bigint generated always as identity primary key,
    key      text        not null,            -- of the form or command that sent it
    seq      int         not null,            -- place within it
    site     text        not null,
    season   smallint    not null,
    person   text        not null,
    task     text        not null,
    kind     text        not null,
    tree     text        not null,
    bbch     smallint    not null,
    selfing  int         not null,
    control  int         not null,
    day      date        not null,
    promised date,
    at       timestamptz not null,
    way      text        not null,
    constraint report_once unique (key, seq)
);
create index report_by_site on report (site, season, id);

create table letter (
    id          text        primary key,      -- the left part of its Message-ID or the webhook-id
    channel     text        not null,         -- mail, webhook
    target      text        not null,         -- code of the person, or name of the webhook
    kind        text        not null,
    content     jsonb       not null,
    written_at  timestamptz not null,
    expires_at  timestamptz not null,
    state       text        not null default 'waiting',
    attempts    int         not null default 0,
    next_try    timestamptz not null,
    taken_by    int,                          -- instance that is sending it
    settled_at  timestamptz,
    relay_id    text        not null default '',
    error       text        not null default '',
    doubtful    int         not null default 0, -- times it may have been sent without our knowing
    constraint letter_state_known check (state in ('waiting', 'taken', 'dotted', 'sent', 'refused', 'given up'))
);
create index letter_open on letter (next_try) where state in ('waiting', 'taken', 'dotted');

create table owed (
    id        bigint generated always as identity primary key,
    site      text        not null,
    season    smallint    not null,
    task      text        not null,
    serial    int         not null,
    person    text        not null,           -- empty: nobody is left to ask, the ops person is told
    standing  text        not null,
    reason    text        not null,
    passed    bool        not null,
    item      jsonb       not null,
    at        timestamptz not null,
    letter_id text        references letter,
    constraint owed_once unique (site, season, task, serial, person)
);
create index owed_open on owed (person, id) where letter_id is null;
create index owed_by_letter on owed (letter_id);

-- What the ops person must look after, once per subject until it is over.
create table trouble (
    subject text        primary key,
    since   timestamptz not null,
    text    text        not null,
    told_at timestamptz,
    over_at timestamptz
);
