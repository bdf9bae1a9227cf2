-- Mails that came in, as they came. This is the journal: whatever was made of a
-- mail can be made again as long as it is kept.
create table arrived (
    id            bigint generated always as identity primary key,
    key           bytea       not null,            -- what the sender wrote, hashed: the same mail is one row
    raw           bytea,                           -- gzip; null once its time is over
    size          bigint      not null,            -- of the whole mail in bytes
    cut           bool        not null,            -- larger than the limit: raw is the header alone
    null_sender   bool        not null,            -- came as bounces come
    way           text        not null,            -- lmtp, smtp, imap
    at            timestamptz not null,
    state         text        not null default 'waiting',
    attempts      int         not null default 0,  -- to read it, that failed
    outcome       text        not null default '',
    person        text        not null default '', -- code of the sender
    token         text        not null default '', -- letter of ours that it answers
    read_at       timestamptz,
    -- of a mail that waits for somebody's yes
    asked         text        not null default '', -- code of the person who may say it
    season        int         not null default 0,
    reports       jsonb       not null default '[]',
    confirmed_at  timestamptz,
    constraint arrived_once unique (key),
    constraint arrived_state_known check (state in ('waiting', 'read', 'held', 'unreadable'))
);
create index arrived_waiting on arrived (id) where state = 'waiting';
create index arrived_kept on arrived (at) where raw is not null;

create table photo (
    id         bigint generated always as identity primary key,
    arrived_id bigint      not null references arrived,
    seq        int         not null,
    report_key text        not null,               -- of the reports that came with it
    person     text        not null,
    type       text        not null,               -- image/jpeg, image/png, image/webp
    bytes      bytea       not null,               -- without position and other metadata
    sha256     bytea       not null,
    at         timestamptz not null,
    constraint photo_once unique (arrived_id, seq)
);
create index photo_by_report on photo (report_key);

-- How far a mailbox was read.
create table mailbox_place (
    mailbox  text   primary key,
    validity bigint not null,                      -- UIDVALIDITY
    uid      bigint not null,
    left_out bigint[] not null                     -- UIDs to try again
);
