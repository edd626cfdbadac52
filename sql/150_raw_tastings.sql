-- raw_tastings: one row per row of tastings.csv as it was written, set aside or not:
-- every cell text, with its line in the file.
create table raw_tastings as
select * from logbook_raw_tastings;
