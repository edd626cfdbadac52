-- raw_batches: one row per row of batches.csv as it was written, set aside or not:
-- every cell text, with its line in the file.
create table raw_batches as
select * from logbook_raw_batches;
