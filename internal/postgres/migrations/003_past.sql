-- What was seen in past seasons is looked for every day, across all sites.
create index report_of_stage on report (season, id) where kind in ('stage seen', 'not yet seen');
