-- What an office keeps in PostgreSQL (15 or later), version 3. It is applied whole in an
-- empty database, with worked.sql and rights.sql, and these are the documentation of the
-- tables.
--
-- Truth, of which nothing is ever changed or taken away: parcel, with the lines as the
-- laptops sent them and the seals over them; admission and withdrawal, which say what
-- crew a key had when; settled, who saw to what parted. log says where each course of a
-- log ends, and follows from the parcels. All in worked.sql is made of these by the program.
--
-- Keys begin with the log, so that the tables can be spread by it, and the parcels of
-- one log stay together.

create schema coolhold;
set local search_path = coolhold;

create table version (schema int not null);
insert into version values (3);

-- The keys of laptops that were ever admitted.
create table laptop (
	key text primary key,             -- the public key, NAME+NUMBER+BASE64
	id  text not null unique          -- NAME+NUMBER, as it stands at a signature
);

-- A key is admitted for a crew, until that is withdrawn; then perhaps anew, for another.
-- What a key sends that is not admitted now waits.
create table admission (
	no       int generated always as identity primary key, -- in their order
	id       text not null references laptop (id),
	crew     text not null,
	admitted timestamptz not null,
	by       text not null            -- who admitted it
);
create index admission_id on admission (id);
create table withdrawal (
	admission int primary key references admission,
	withdrawn timestamptz not null,   -- nothing that it signs is taken from then on
	withdrew  text not null           -- who said so
);

-- How each key stands: by its last admission.
create view stands as
	select distinct on (a.id) l.key, a.*, w.withdrawn, w.withdrew
	from admission a join laptop l using (id) left join withdrawal w on w.admission = a.no order by a.id, a.no desc;

-- The key with which the office signs its receipts: laptops know it by this one.
create table signs (
	key   text primary key,           -- NAME+NUMBER+BASE64
	since timestamptz not null        -- the newest counts
);

create table waiting (
	log   text not null,
	first bigint not null,
	last  bigint not null,
	key   text not null,              -- NAME+NUMBER: nothing is known of the signature
	tag   text not null,              -- the letters that it claims
	data  bytea not null,             -- the parcel as it came
	came  timestamptz not null,
	primary key (log, key, first, last)
);

-- A course of a log. Branch 0 is the first; another leaves its parent at entry parted,
-- which is its first of its own.
create table log (
	id      text not null,
	branch  int not null,
	tag     text not null,
	parent  int not null,
	parted  bigint not null check (parted >= 1),
	entries bigint not null,          -- the last that is held
	root    bytea not null,           -- of the hash tree over them
	edge    bytea not null,           -- its right edge: all that is needed to go on
	key     text not null references laptop (id), -- who sent last
	heard   timestamptz not null,     -- when it last said what it holds
	primary key (id, branch)
);

create table parcel (
	log    text not null,
	branch int not null,
	first  bigint not null check (first >= 1),
	last   bigint not null check (last >= first),
	edge   bytea not null,            -- before the first line
	root   bytea not null,            -- over the entries up to the last line
	note   text not null,             -- the seal of the laptop that proves it
	key    text not null references laptop (id), -- whose that is
	taken  timestamptz not null,
	lines  bytea not null,            -- one zstd frame, each line ended by a line feed
	primary key (log, branch, first),
	foreign key (log, branch) references log (id, branch)
);
create index parcel_key on parcel (key);  -- who never sent
alter table parcel alter lines set storage external;
alter table parcel alter note set storage main;

-- That somebody saw to it that the numbers of a log that went on in two ways, or of two
-- logs with the same letters, are told apart.
create table settled (
	log     text not null,
	branch  int not null,             -- 0 where it is two logs
	other   text not null,            -- the second of them, else ''
	numbers text[] not null,          -- what meant two pipes then, as NUMBER/BRANCH/BRANCH: another opens it again
	settled timestamptz not null,
	by      text not null,            -- who said so
	why     text not null             -- and what was done
);
create index settled_log on settled (log);

-- Nobody changes what is the truth, whatever his rights are.
create function untouched() returns trigger language plpgsql as
$$ begin raise exception 'a % is never changed or taken away', tg_table_name; end $$;
do $$
declare t text;
begin
	foreach t in array array['parcel', 'admission', 'withdrawal', 'settled'] loop
		execute format('create trigger untouched before update or delete on %I for each row execute function untouched()', t);
		execute format('create trigger untouched_all before truncate on %I for each statement execute function untouched()', t);
	end loop;
end $$;

-- Who may read: a token by its hash alone.
create table token (
	hash    bytea primary key,        -- SHA-256
	role    text not null check (role in ('coolhold_reader', 'coolhold_client')),
	sites   text[],                   -- of a client: own ids of the site, as ID in every log, as ID/LOG in that one, as ID/LOG/BRANCH in that course of it
	until   date,                     -- the last day
	granted timestamptz not null,
	by      text not null,
	withdrawn timestamptz,            -- it reads nothing from then on
	withdrew  text,                   -- who said so
	check ((role = 'coolhold_client') = (coalesce(cardinality(sites), 0) > 0))
);

-- Whether what a client may read (token.sites) has a site of a course. It is put into
-- the query that asks it, so that the index by own ids is used.
create function reads(sites text[], uid text, log text, branch int) returns boolean language sql stable return
	uid = any(string_to_array(regexp_replace(array_to_string(sites, ' '), '/[^ ]*', '', 'g'), ' '))
	and array[uid, uid || '/' || log, uid || '/' || log || '/' || branch] && sites;

-- Roles. The program connects as a login that was granted them and is one of them in
-- each transaction: coolhold_taker writes what belongs to one log (coolhold.log),
-- coolhold_reader reads, coolhold_client reads what was worked up of one site
-- (coolhold.site, as in token.sites). Nobody logs in as the owner.
do $$
declare r text;
begin
	foreach r in array array['coolhold_owner', 'coolhold_taker', 'coolhold_reader', 'coolhold_client'] loop
		if not exists (select from pg_roles where rolname = r) then
			execute format('create role %I nologin', r);
		end if;
		if not exists (select from pg_auth_members m where m.roleid = r::regrole and m.member = current_user::regrole) then
			execute format('grant %I to current_user', r);
		end if;
	end loop;
	-- Whose the tables become must be allowed to make them: the login need not be superuser.
	execute format('grant create on database %I to coolhold_owner', current_database());
end $$;
alter schema coolhold owner to coolhold_owner;

do $$
declare t text;
begin
	foreach t in array array['log', 'parcel'] loop
		execute format('alter table %I enable row level security', t);
		execute format('create policy reads on %I for select to coolhold_reader using (true)', t);
		execute format('create policy its_log on %I to coolhold_taker using (%I = current_setting(''coolhold.log'', true))',
			t, case t when 'log' then 'id' else 'log' end);
	end loop;
	foreach t in array array['version', 'laptop', 'admission', 'withdrawal', 'stands', 'signs', 'waiting', 'log', 'parcel', 'settled', 'token'] loop
		execute format('alter table %I owner to coolhold_owner', t);
	end loop;
	alter function untouched() owner to coolhold_owner;
	alter function reads(text[], text, text, int) owner to coolhold_owner;
end $$;
