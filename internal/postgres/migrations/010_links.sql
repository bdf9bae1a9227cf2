-- How often a person's links were withdrawn. Every link says how often that was
-- when it was signed, and opens only as long as that holds; who isn't here has
-- never had any withdrawn.
create table link_turn (
    person       text        primary key,        -- code
    turn         int         not null,
    withdrawn_at timestamptz not null,           -- the last time, in the program's time
    constraint link_turn_counts check (turn > 0)
);
