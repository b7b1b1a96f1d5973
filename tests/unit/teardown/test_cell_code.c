#include "check.h"

#include "teardown/cell_code.h"

static struct cell_code code_of(const char *typed)
{
    return cell_code_read(span_of(typed));
}

/* A sample that was printed in public; its date by the table from memory is 21 February 2039. */
TEST(a_printed_module_code_comes_apart)
{
    struct cell_code code = code_of("X12MCPM27KLPCLX2M2382320");
    CHECK(code.whole && !code.reused && code.kind == 'M' && code.chemistry == 'C');
    CHECK_TEXT(code.maker, "X12");
    CHECK_TEXT(code.specification, "PM");
    CHECK_TEXT(code.trace, "27KLPCL");
    CHECK(code.year == 2039 && code.month == 2 && code.day == 21 && code.serial == 2382320);
}

TEST(a_cell_and_a_cell_that_is_used_again)
{
    struct cell_code code = code_of(" zzzcb99-abcdefg b3c 0000123\n");
    CHECK(code.whole && code.kind == 'C' && code.chemistry == 'B');
    CHECK_TEXT(code.code, "ZZZCB99ABCDEFGB3C0000123");
    CHECK(code.year == 2021 && code.month == 3 && code.day == 12 && code.serial == 123);
    CHECK_TEXT(cell_code_chemistry(code.chemistry), "lithium iron phosphate");
    code = code_of("ZZZCB99B3C0000123RC");
    CHECK(code.whole && code.reused && code.day == 12 && code.serial == 123 && code.trace[0] == '\0');
}

TEST(what_does_not_fit_is_said_and_what_does_is_kept)
{
    struct cell_code code = code_of("ZZZXB99ABCDEFGB3C0000123");
    CHECK(!code.whole && code.kind == 0 && code.year == 2021 && code.fault_count == 1);
    code = code_of("ZZZCB99ABCDEFGBDC0000123"); /* month D */
    CHECK(!code.whole && code.year == 0 && code.serial == 123 && strstr(code.faults[0], "month") != NULL);
    code = code_of("ZZZCB99ABCDEFGB2Y0000123"); /* 30 February */
    CHECK(!code.whole && code.year == 0);
    code = code_of("ZZZCB99ABCDEFGI3C0000123"); /* I is no year */
    CHECK(!code.whole && strstr(code.faults[0], "year") != NULL);
    code = code_of("ZZZCB99ABCDEFGB3C0000000");
    CHECK(!code.whole && code.serial == -1);
    code = code_of("ZZZCB99ABCDEFGB3C000012O");
    CHECK(!code.whole && code.serial == -1 && code.month == 3);
}

TEST(another_layout_is_not_guessed_at)
{
    static const char *const others[] = {"", "ZZZCB99ABCDEFGB3C000012", "ZZZCB99ABCDEFGB3C00001234", "0123456789",
                                         "ZZZCB99B3C0000123XC"};
    for (size_t k = 0; k < sizeof others / sizeof others[0]; k++) {
        struct cell_code code = code_of(others[k]);
        CHECK(!code.whole && code.year == 0 && code.kind == 0 && code.maker[0] == '\0');
        CHECK(strstr(code.faults[0], "unknown layout") != NULL);
    }
    struct cell_code strange = code_of("ZZZCB99ABC€EFGB3C0000123");
    CHECK(!strange.whole && strange.fault_count == 1 && strange.year == 0);
}

TEST(the_last_day_of_a_month_is_the_digit_zero)
{
    struct cell_code code = code_of("ABCCB12TRACE01E50" "0000007");
    CHECK(code.whole && code.year == 2024 && code.month == 5 && code.day == 31);
    CHECK(code_of("ABCCB12TRACE01E40" "0000007").year == 0); /* 31 April */
    CHECK(code_of("ABCCB12TRACE01E2X" "0000007").day == 29); /* of a leap year */
}

/* 21 February 2024 to 1 March 2025: 374 days, over a 29 February. */
TEST(age_counts_days)
{
    struct cell_code code = code_of("ABCCB12TRACE01E2M0000007");
    CHECK(code.whole && code.day == 21);
    CHECK(cell_code_age_days(&code, 2024, 2, 21) == 0);
    CHECK(cell_code_age_days(&code, 2025, 3, 1) == 374);
    CHECK(cell_code_age_days(&code, 2024, 2, 20) == -1);
    struct cell_code none = code_of("nothing");
    CHECK(cell_code_age_days(&none, 2025, 3, 1) < -1000000);
}

TEST(a_batch_is_of_one_maker_and_lies_close_together)
{
    struct cell_code codes[] = {code_of("ABCCB12TRACE01E2M0000007"), code_of("ABCCB12TRACE01E2N0000019"),
                                code_of("ABCCB12TRACE01E2M0000007"), code_of("XYZCB13TRACE02B8A0000003"), code_of("torn")};
    struct cell_batch batch = cell_code_batch(codes, 2);
    CHECK(batch.read == 2 && batch.makers == 1 && batch.specifications == 1 && batch.days_apart == 1);
    CHECK(batch.repeated == 0);
    batch = cell_code_batch(codes, 5);
    CHECK(batch.read == 4 && batch.makers == 2 && batch.specifications == 2 && batch.chemistries == 1);
    CHECK(batch.repeated == 1 && batch.days_apart > 900);
    CHECK(cell_code_batch(&codes[4], 1).read == 0);
}
