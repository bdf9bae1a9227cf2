-- A day that wasn't over when it was read, and how its mean came about.
alter table station_day add column provisional boolean not null default false;
alter table station_day add column mean_of text not null default '';
alter table station_day_before add column provisional boolean not null default false;
alter table station_day_before add column mean_of text not null default '';

-- When a source's newest day last moved on: what tells a silent one.
alter table source add column renewed_at timestamptz;

create table station_wind (
    station text        not null,
    day     date        not null,
    mean_ms float8,
    max_ms  float8,                          -- highest mean of ten minutes or an hour
    gust_ms float8,
    seen_at timestamptz not null,
    constraint station_wind_key primary key (station, day)
);

create table outlook_wind (
    site      text        not null,
    issued_at timestamptz not null,
    day       date        not null,
    mean_ms   float8,
    max_ms    float8,
    gust_ms   float8,
    constraint outlook_wind_key primary key (site, issued_at, day)
);
