-- From what length on an offcut is kept where a new profile does not say; NULL: each must say.
ALTER TABLE workshop ADD COLUMN keep_nm INTEGER CHECK (keep_nm > 0);
