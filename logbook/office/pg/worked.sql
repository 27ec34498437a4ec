-- What is worked up from the parcels, to be searched by: all of it can be dropped, and is
-- laid anew by the program, which coolhold office rebuild also does.

set local search_path = coolhold;

-- Up to where the lines of a course were gone through for their sites.
create table sifted (
	log    text not null,
	branch int not null,
	upto   bigint not null,
	primary key (log, branch)
);

-- The sites of a course, as they were opened. What follows names a site by its number
-- here, which says nothing else and is another after a rebuild.
create table site (
	no      int generated always as identity unique,
	log     text not null,
	branch  int not null,
	uid     text not null,            -- the site's own id
	tag     text not null,            -- of the log
	site    text not null,            -- its name in entries
	name    text not null,
	address text not null,
	seq     bigint not null,          -- the entry that opened it
	opened  text not null,            -- its line
	entries bigint not null,          -- how many it has
	newest  bigint not null,          -- the last of them
	made    jsonb not null,           -- when that was made, as in its line
	worked  bigint not null default 0, -- up to which of them it is worked up
	late    bool not null generated always as (worked <> newest) stored, -- of a column the planner knows how rare it is
	primary key (log, branch, site)
);
create index site_late on site (no) where late; -- each answer names these
create index site_uid on site (uid);
create index site_site on site (site);
create index site_name on site (name);
create index site_tag on site (tag);

-- The seals among the entries of a course.
create table sealed (
	log    text not null,
	branch int not null,
	seq    bigint not null,
	line   text not null,
	primary key (log, branch, seq)
);

-- Which parcels of a course hold lines of a site. Those of the parents hold more.
create table holds (
	site  int not null,
	first bigint not null,            -- of the parcel
	primary key (site, first)
);

-- When and by what a site was worked up.
create table worked (
	site    int primary key,
	as_of   timestamptz not null,
	timed   boolean not null,         -- its findings change as time goes by
	program text not null
);

create table weld (
	site     int not null,
	weld     text not null,
	joint    text not null,
	chamber  text not null,
	day      text not null,
	verdict  text not null,
	state    text not null,
	fitting  text not null,
	batch    text not null,
	coil     text not null,
	stub     text not null,
	operator text not null,
	unit     text not null,
	begun    bigint not null,         -- its first entry: before the course parted it is the parent's weld too
	failed   boolean not null,        -- a fail is on record, accepted or cut out since or not
	ever     text[] not null,         -- the terms of all batches, units and operators that were ever said of it
	said     text not null,           -- these as they were said, for the program alone
	made     timestamptz not null,    -- when its first entry was made, by the laptop's clock
	primary key (site, weld)
);
create index weld_ever on weld using gin (ever) with (fastupdate = off); -- else it grows to ten times what it needs

create table joint (
	site    int not null,
	joint   text not null,
	chamber text not null,
	state   text not null,
	weld    text not null,            -- that stands in it; '' for none
	primary key (site, joint)
);

-- What is open in a site: fails, queries and what is to be done.
create table finding (
	site  int not null,
	no    int not null,               -- in the order of the audit
	key   text not null,
	word  text not null,              -- fail, query or to do
	weld  text not null,
	joint text not null,
	says  text not null,
	primary key (site, no)
);

-- A taker works on what is of its log, a reader sees all, a client what he was granted.
do $$
declare t text;
begin
	foreach t in array array['sifted', 'site', 'sealed', 'holds', 'worked', 'weld', 'joint', 'finding'] loop
		execute format('alter table %I enable row level security', t);
		execute format('create policy reads on %I for select to coolhold_reader using (true)', t);
	end loop;
	foreach t in array array['sifted', 'site', 'sealed'] loop
		execute format('create policy its_log on %I to coolhold_taker using (log = current_setting(''coolhold.log'', true))', t);
	end loop;
	create policy its_site on site for select to coolhold_client using (reads(string_to_array(current_setting('coolhold.site', true), ' '), uid, log, branch));
	-- What belongs to a site belongs to whoever sees the site.
	foreach t in array array['holds', 'worked', 'weld', 'joint', 'finding'] loop
		execute format('create policy its_log on %1$I to coolhold_taker using (exists (select from site s where s.no = %1$I.site))', t);
		execute format('create policy its_site on %1$I for select to coolhold_client using (exists (select from site s where s.no = %1$I.site))', t);
	end loop;
	foreach t in array array['sifted', 'site', 'sealed', 'holds', 'worked', 'weld', 'joint', 'finding'] loop
		execute format('alter table %I owner to coolhold_owner', t);
	end loop;
end $$;
