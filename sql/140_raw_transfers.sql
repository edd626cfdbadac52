-- raw_transfers: one row per row of transfers.csv as it was written, set aside or not:
-- every cell text, with its line in the file.
create table raw_transfers as
select * from logbook_raw_transfers;
