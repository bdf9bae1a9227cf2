-- How issued forecasts did once their stage was reported seen.

-- A day on which a block was carried on and one of its sites couldn't be
-- forecast: the block's mark doesn't hold for it.
create table not_issued (
    site      text not null,
    issued_on date not null,
    constraint not_issued_key primary key (site, issued_on)
);

create table score (
    site            text     not null,
    season          smallint not null,
    stage           smallint not null,
    lead            smallint not null,            -- days from its issue to the reported day
    issued_on       date     not null,
    not_yet         date,                         -- last visit that didn't find the stage; null: nobody had looked before
    seen            date     not null,            -- the reported day
    error_days      float8,                       -- median less the nearest day that visits leave open; null: it lies beyond the year
    crps_days       float8   not null,
    pit_low         float8   not null,
    pit_high        float8   not null,
    inside80        float8   not null,
    mean_date_days  float8,                       -- CRPS of the baselines; null: there are none
    regression_days float8,
    past_dates      smallint not null,
    basis           text     not null,            -- where past dates are from
    constraint score_key primary key (site, season, stage, lead),
    constraint score_basis_known check (basis in ('seen', 'computed', 'none'))
);
create index score_by_season on score (season, stage, lead);

-- Up to which report a site's season has been scored.
create table scored (
    site      text        not null,
    season    smallint    not null,
    report_id bigint      not null,
    at        timestamptz not null default now(),
    constraint scored_key primary key (site, season)
);
create index scored_newest on scored (season, at);

create index run_begun on run (started_at);
