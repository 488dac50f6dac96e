-- What an order must come to so that a supplier delivers it free; NULL: the supplier charges for every order, if at all.
ALTER TABLE supplier ADD COLUMN free_minor INTEGER CHECK (free_minor >= 0);
