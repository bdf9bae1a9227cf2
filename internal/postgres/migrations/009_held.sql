-- Sending is held after a restore, and after a first start in mid-season, until
-- somebody has looked at what is owed.
create table held (
    one       bool        primary key default true,
    since     timestamptz not null,              -- in the program's time
    why       text        not null,              -- restored, first start
    backup_at timestamptz,                       -- of what was restored: when the backup was made
    constraint held_is_one_row check (one),
    constraint held_why_known check (why in ('restored', 'first start'))
);

-- What is owed while sending is held becomes a letter once it is released, and
-- never if it was dropped. The time for an answer begins only then. How the call
-- stood once this was told goes into the journal, for a memory that is restored.
alter table owed
    add column released_at   timestamptz,
    add column dropped_at    timestamptz,
    add column answer_within interval,
    add column state         jsonb;
drop index owed_open;
create index owed_open on owed (person, id) where letter_id is null and dropped_at is null;

alter table letter drop constraint letter_state_known;
alter table letter add constraint letter_state_known
    check (state in ('waiting', 'held', 'taken', 'dotted', 'sent', 'refused', 'given up', 'dropped'));
create index letter_held on letter (written_at) where state = 'held';
-- Once its time is over, a letter's content is dropped and that it was sent stays.
alter table letter alter column content drop not null;
create index letter_kept on letter (written_at) where content is not null;
