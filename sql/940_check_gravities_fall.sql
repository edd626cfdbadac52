-- check_gravities_fall: batches whose alcohol is known though their gravity did
-- not fall, or whose alcohol is beyond what yeast can make; none may be.
create table check_gravities_fall as
select batch_id, equivalent_gravity, last_gravity, alcohol_before_topping
from fermentations
where
    alcohol_before_topping is not null
    and (
        last_gravity >= equivalent_gravity
        or alcohol_before_topping not between 0 and 25
    );
