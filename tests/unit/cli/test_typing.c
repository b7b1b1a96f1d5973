#include "cli/typing.h"
#include "check.h"

#include <string.h>

/* Each key a second after the one before. True when the last of them completed a line. */
static bool type(struct typing *typing, const char *keys)
{
    bool complete = false;
    for (int k = 0; keys[k] != '\0'; k++)
        complete = typing_key(typing, (unsigned char)keys[k], 1000 + k);
    return complete;
}

TEST(a_line_has_the_instant_of_its_first_key)
{
    struct typing typing = {0};
    CHECK(!type(&typing, "12.9 V"));
    CHECK(typing_key(&typing, '\r', 9999));
    CHECK_TEXT(typing.line, "12.9 V");
    CHECK(typing.began_ns == 1000);
    typing_clear(&typing);
    CHECK(typing.length == 0 && typing_key(&typing, '\n', 5000)); /* Enter alone is of its own instant */
    CHECK_TEXT(typing.line, "");
    CHECK(typing.began_ns == 5000);
}

TEST(whole_characters_are_taken_back)
{
    struct typing typing = {0};
    type(&typing, "23 °C\x7f\x7fK");
    CHECK_TEXT(typing.line, "23 K");
    type(&typing, "\x7f\x7f\x7f\x7f\x7f\x7fx");
    CHECK_TEXT(typing.line, "x");
    type(&typing, "yz\x15");
    CHECK_TEXT(typing.line, "");
    typing_key(&typing, 'a', 77);
    CHECK(typing.began_ns == 77);
}

TEST(arrows_and_function_keys_leave_no_letters)
{
    struct typing typing = {0};
    type(&typing, "1\x1b[A2\x1b[15~3\x1bOP4\x1b[1;5C5\x01\x02");
    CHECK_TEXT(typing.line, "12345");
}

TEST(a_line_that_is_too_long_is_cut_and_stays_a_line)
{
    struct typing typing = {0};
    for (int k = 0; k < 1000; k++)
        CHECK(!typing_key(&typing, 'x', k));
    CHECK(typing.length == sizeof typing.line - 1 && strlen(typing.line) == typing.length);
    CHECK(typing_key(&typing, '\r', 2000));
}
