-- raw_recipes: one row per row of recipes.csv as it was written, set aside or not:
-- every cell text, with its line in the file.
create table raw_recipes as
select * from logbook_raw_recipes;
