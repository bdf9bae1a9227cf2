-- A packed year stands in its page as it is: it is below 2.6 kB, hardly gets
-- smaller, and thousands of them are read at once.
alter table station_year set (toast_tuple_target = 8160);
alter table station_year alter column days set storage plain;
-- When it was last written, so that what a corrected day said before is kept with its time.
alter table station_year add column stored_at timestamptz not null default now();
update station_year set days = days || ''::bytea;
