-- What the calls of a whole season need of a report: catkins counted, the last
-- day of an absence, and a problem in words.
alter table report
    add column count int  not null default 0,
    add column until date,
    add column note  text not null default '';
