-- raw_additions: one row per row of additions.csv as it was written, set aside or not:
-- every cell text, with its line in the file.
create table raw_additions as
select * from logbook_raw_additions;
