-- What leads from seed back to tree and bag, beside what people report: what
-- the laboratory received, placed, weighed and counted, and former codes.
-- Codes of bags and lots aren't stored: they follow from tree, season, kind and
-- number. Rows are only ever added; a wrong one is withdrawn by another.

create table trail_entry (
    id      bigint generated always as identity primary key,
    key     text        not null,             -- of the command or form that sent it
    season  smallint    not null,             -- of the seed
    kind    text        not null,
    subject text        not null,             -- code of lot, tree or unplaced seed; empty: a receipt that matched nothing
    person  text        not null,
    day     date        not null,             -- when it was done
    at      timestamptz not null,             -- when it reached us
    why     text        not null,
    way     text        not null,
    data    jsonb       not null,
    constraint trail_entry_once unique (key),
    constraint trail_entry_kind_known check (kind in (
        'received', 'placed', 'weighed', 'moisture', 'seed weight', 'filled seed', 'germination begun',
        'germination counted', 'stored', 'note', 'also called', 'withdrawn'))
);
create index trail_entry_by_season on trail_entry (season, id);
create index trail_entry_aliases on trail_entry (id) where kind in ('also called', 'withdrawn');

-- Nothing is deleted or rewritten; but a person can be made a pseudonym.
create function trail_entry_kept() returns trigger language plpgsql as $$
begin
    if tg_op = 'DELETE' then
        raise exception 'entries of the trail are kept: withdraw entry % by another', old.id;
    end if;
    if (new.id, new.key, new.season, new.kind, new.subject, new.day, new.at, new.way) is distinct from
       (old.id, old.key, old.season, old.kind, old.subject, old.day, old.at, old.way)
       or new.data is distinct from old.data and new.person = old.person then
        raise exception 'entries of the trail are kept as they are: withdraw entry % by another', old.id;
    end if;
    return new;
end $$;
create trigger trail_entry_kept before update or delete on trail_entry for each row execute function trail_entry_kept();
