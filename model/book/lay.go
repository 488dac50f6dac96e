package book
