#include "http/sending.h"
#include "check.h"

TEST(a_tag_is_found_in_a_list)
{
    CHECK(sending_names_tag("\"abc\"", "abc"));
    CHECK(sending_names_tag("\"x\", W/\"abc\"", "abc"));
    CHECK(sending_names_tag("*", "abc"));
    CHECK(!sending_names_tag("\"abcd\"", "abc"));
    CHECK(!sending_names_tag("\"ab\"", "abc"));
    CHECK(!sending_names_tag("abc", "abc"));
    CHECK(!sending_names_tag("\"abc", "ab"));
    CHECK(!sending_names_tag(NULL, "abc"));
    CHECK(!sending_names_tag("", "abc"));
    CHECK(!sending_names_tag("*", "")); /* what has no tag is never kept */
    CHECK(!sending_names_tag("\"\"", ""));
}

/* RFC 9110 14.1.2 has the examples of 10,000 bytes. */
TEST(a_stretch_is_what_the_standard_says)
{
    size_t first = 0, count = 0;
    CHECK(sending_range("bytes=0-499", 10000, &first, &count) == 206 && first == 0 && count == 500);
    CHECK(sending_range("bytes=500-999", 10000, &first, &count) == 206 && first == 500 && count == 500);
    CHECK(sending_range("bytes=-500", 10000, &first, &count) == 206 && first == 9500 && count == 500);
    CHECK(sending_range("bytes=9500-", 10000, &first, &count) == 206 && first == 9500 && count == 500);
    CHECK(sending_range("bytes=9500-20000", 10000, &first, &count) == 206 && first == 9500 && count == 500);
    CHECK(sending_range("bytes=-20000", 10000, &first, &count) == 206 && first == 0 && count == 10000);
    CHECK(sending_range("bytes=9999-9999", 10000, &first, &count) == 206 && first == 9999 && count == 1);
}

TEST(a_stretch_that_is_not_there_is_refused_and_nonsense_is_passed_over)
{
    size_t first = 7, count = 7;
    CHECK(sending_range("bytes=10000-", 10000, &first, &count) == 416);
    CHECK(sending_range("bytes=10000-10001", 10000, &first, &count) == 416);
    CHECK(sending_range("bytes=-0", 10000, &first, &count) == 416);
    CHECK(sending_range("bytes=0-", 0, &first, &count) == 416);
    CHECK(sending_range("bytes=-1", 0, &first, &count) == 416);
    static const char *const nonsense[] = {"bytes=", "bytes=-", "bytes=2-1", "bytes=1-2,4-5", "bytes= 1-2", "lines=1-2",
                                           "bytes=a-b", "bytes=--1", "bytes=1", "bytes=99999999999999999999-", "1-2", ""};
    for (size_t k = 0; k < sizeof nonsense / sizeof *nonsense; k++)
        if (sending_range(nonsense[k], 10000, &first, &count) != 200)
            test_failed(__FILE__, __LINE__, nonsense[k]);
    CHECK(sending_range(NULL, 10000, &first, &count) == 200);
    CHECK(first == 7 && count == 7);
}

TEST(every_stretch_of_a_short_reply_lies_inside_it)
{
    for (size_t size = 0; size < 6; size++)
        for (int a = -1; a < 8; a++)
            for (int b = -1; b < 8; b++) {
                char header[32], from[8] = "", to[8] = "";
                size_t first = 0, count = 0;
                if (a >= 0)
                    snprintf(from, sizeof from, "%d", a);
                if (b >= 0)
                    snprintf(to, sizeof to, "%d", b);
                snprintf(header, sizeof header, "bytes=%s-%s", from, to);
                int status = sending_range(header, size, &first, &count);
                CHECK(status != 206 || (count > 0 && first + count <= size));
                CHECK(status != 206 || a < 0 || first == (size_t)a);
            }
}
