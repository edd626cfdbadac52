-- raw_readings: one row per row of readings.csv as it was written, set aside or not:
-- every cell text, with its line in the file.
create table raw_readings as
select * from logbook_raw_readings;
