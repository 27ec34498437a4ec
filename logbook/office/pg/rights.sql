-- What each role may do, within the policies of the tables. It can be said again at any
-- time, which coolhold office rebuild does: what somebody took away is there again.

set local search_path = coolhold;

grant usage, create on schema coolhold to coolhold_owner;
grant usage on schema coolhold to coolhold_taker, coolhold_reader, coolhold_client;
grant select on version to coolhold_taker, coolhold_reader, coolhold_client;
grant select on version, laptop, admission, withdrawal, stands, log, parcel, settled to coolhold_reader;
grant select on laptop, admission, withdrawal, stands to coolhold_taker;
grant select, insert on log, parcel to coolhold_taker;
grant update (entries, root, edge, key, heard) on log to coolhold_taker;
grant select on sifted, site, sealed, holds, worked, weld, joint, finding to coolhold_reader;
grant select, insert, update, delete on sifted, site, sealed, holds, worked, weld, joint, finding to coolhold_taker;
grant select on site, worked, weld, joint, finding to coolhold_client;
