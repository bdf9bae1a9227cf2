-- What people proposed to change in a site's file of the configuration by a page
-- or a mail. The folder stays the one truth: an accepted change is written there.
create table site_change (
    id         bigint generated always as identity primary key,
    key        text        not null,             -- of the form or mail that it came with
    site       text        not null,
    file       text        not null,             -- its path in the folder
    base       jsonb       not null,             -- the file from which the edit began: path -> content
    body       jsonb       not null,             -- the file as proposed, likewise
    person     text        not null,             -- who proposes it
    way        text        not null,             -- page, mail
    at         timestamptz not null,             -- in the program's time
    preview    jsonb       not null,             -- what it would do, as it was shown
    standing   text        not null default 'proposed',
    decided_by text        not null default '',
    decided_at timestamptz,
    why        text        not null default '',  -- what whoever refused it wrote
    written_at timestamptz,                      -- when an accepted one stood in the folder
    constraint site_change_once unique (key),
    constraint site_change_standing_known check (standing in ('proposed', 'waiting', 'accepted', 'refused', 'overtaken')),
    constraint site_change_way_known check (way in ('page', 'mail'))
);
create index site_change_by_site on site_change (site, id desc);
create index site_change_unwritten on site_change (id) where standing = 'accepted' and written_at is null;
