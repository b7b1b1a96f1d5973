#include "check.h"

#include "report/account.h"

#include <math.h>

enum { MOST = 6 };

struct made {
    struct opened_item items[MOST];
    struct inspected inspected[MOST];
    struct inspection inspection;
};

/* A letter an item: c a conductor, b a bar, n a conductor of which nothing is told, o another. */
static void make(struct made *made, const char *kinds)
{
    *made = (struct made){0};
    for (size_t k = 0; kinds[k] != '\0'; k++) {
        struct inspected *one = &made->inspected[k];
        one->item = &made->items[k];
        made->items[k].kind = kinds[k] == 'b' ? OPENED_BUS_BAR : kinds[k] == 'o' ? OPENED_FUSE : OPENED_CONDUCTOR;
        snprintf(made->items[k].title, sizeof made->items[k].title, "lead %zu", k);
        if (kinds[k] == 'n')
            continue;
        one->value_count = kinds[k] == 'c' ? 2 : 1;
        snprintf(one->values[0].what, sizeof one->values[0].what, "section");
        snprintf(one->values[0].words, sizeof one->values[0].words, "of %zu", k);
        snprintf(one->values[1].what, sizeof one->values[1].what, "jacket");
        snprintf(one->values[1].words, sizeof one->values[1].words, "silicone");
        made->inspection.count = k + 1;
    }
    made->inspection.items = made->inspected;
}

TEST(conductors_stand_beside_each_other)
{
    static struct made made;
    make(&made, "obcno");
    bool last;
    CHECK(!account_beside(&made.inspection, &made.inspected[0], &last));
    CHECK(account_beside(&made.inspection, &made.inspected[1], &last) && !last);
    CHECK(account_beside(&made.inspection, &made.inspected[2], &last) && last);
    CHECK(!account_beside(&made.inspection, &made.inspected[3], &last));
    const struct inspected *items[ACCOUNT_BESIDE];
    struct listing rows;
    CHECK(account_conductors(&made.inspection, 0, items, &rows) == 2);
    CHECK(items[0] == &made.inspected[1] && items[1] == &made.inspected[2]);
    CHECK(listing_rows(&rows) == 2);
    CHECK_TEXT(listing_cell(&rows, 0, 0), "section");
    CHECK_TEXT(listing_cell(&rows, 0, 1), "of 1");
    CHECK_TEXT(listing_cell(&rows, 0, 2), "of 2");
    CHECK_TEXT(listing_cell(&rows, 1, 0), "jacket");
    CHECK_TEXT(listing_cell(&rows, 1, 1), "–");
    CHECK_TEXT(listing_cell(&rows, 1, 2), "silicone");
    listing_free(&rows);
    CHECK(account_conductors(&made.inspection, 2, items, &rows) == 0);
    listing_free(&rows);
}

TEST(a_single_conductor_keeps_its_own_list_and_four_are_two_and_two)
{
    static struct made made;
    bool last;
    make(&made, "oc");
    CHECK(!account_beside(&made.inspection, &made.inspected[1], &last));
    make(&made, "ccbc");
    const struct inspected *items[ACCOUNT_BESIDE];
    struct listing rows;
    for (size_t had = 0; had < 4; had += 2) {
        CHECK(account_conductors(&made.inspection, had, items, &rows) == 2);
        CHECK(items[0] == &made.inspected[had] && items[1] == &made.inspected[had + 1]);
        listing_free(&rows);
    }
}

TEST(a_title_begins_with_a_capital)
{
    static struct made made;
    char title[16];
    make(&made, "c");
    account_opened_title(&made.inspected[0], title, sizeof title);
    CHECK_TEXT(title, "Lead 0");
}
