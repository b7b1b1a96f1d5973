#include "check.h"

#include "report/listing.h"

#include <string.h>

TEST(a_row_that_is_not_full_reads_as_if_empty_cells_followed)
{
    struct listing listing = listing_of(3);
    CHECK(listing_rows(&listing) == 0);
    for (int k = 0; k < 7; k++)
        listing_add(&listing, "cell %d of %s", k, "seven");
    CHECK(listing_rows(&listing) == 3);
    CHECK_TEXT(listing_cell(&listing, 0, 2), "cell 2 of seven");
    CHECK_TEXT(listing_cell(&listing, 2, 0), "cell 6 of seven");
    CHECK_TEXT(listing_cell(&listing, 2, 1), "");
    CHECK_TEXT(listing_cell(&listing, 40, 1), "");
    listing_free(&listing);
    listing_free(&listing);
}

TEST(a_cell_is_as_long_as_its_words)
{
    char words[3000];
    memset(words, 'w', sizeof words - 1);
    words[sizeof words - 1] = '\0';
    struct listing listing = listing_of(1);
    listing_add(&listing, "%s!", words);
    CHECK(strlen(listing_cell(&listing, 0, 0)) == sizeof words);
    listing_free(&listing);
}
