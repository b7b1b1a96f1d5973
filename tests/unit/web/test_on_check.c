#include "asking.h"

#include <time.h>

static const json_t *line_at(const json_t *answer, size_t k)
{
    return json_array_get(json_object_get(answer, "lines"), k);
}

TEST(a_label_line_by_line)
{
    struct asking a;
    asking_open(&a);
    CHECK(ask(&a, check_routes, "POST", "/api/check/label", "[claims]\ncapacity = 100 Ah at 0.2 It | case\nenergy = 3 V\n") == 200);
    CHECK(asking_number(json_object_get(a.json, "fault"), "line") == 3);
    CHECK(json_array_size(json_object_get(a.json, "faults")) == 1);
    CHECK_TEXT(asking_words(line_at(a.json, 1), "taken"), "Capacity: at least 100 Ah, at 0.2 It; read on: case");
    CHECK(ask(&a, check_routes, "POST", "/api/check/label", "[claims]\ncapacity = 100 Ah\nnominal voltage = 12.8 V\nenergy = 900 Wh\n") == 200);
    CHECK(json_is_null(json_object_get(a.json, "fault")));
    CHECK(json_array_size(json_object_get(a.json, "notices")) > 0); /* 12.8 V times 100 Ah is not 900 Wh */
    asking_close(&a);
}

TEST(short_texts)
{
    struct asking a;
    asking_open(&a);
    CHECK(ask(&a, check_routes, "POST", "/api/check/line", "12.91 V 24.8 A burst") == 200);
    CHECK_TEXT(asking_words(line_at(a.json, 0), "taken"), "12.9100 ± 0.0050 V · 24.800 ± 0.050 A · mark: burst");
    CHECK(ask(&a, check_routes, "POST", "/api/check/line", "0:12:30 12.91 V") == 200);
    CHECK(strstr(asking_fault(&a, "what"), "needs no time") != NULL);
    CHECK(ask(&a, check_routes, "POST", "/api/check/column", "current=2:mA") == 200);
    CHECK_TEXT(asking_words(line_at(a.json, 0), "taken"), "column 2: current, in mA");
    CHECK(ask(&a, check_routes, "POST", "/api/check/column", "curent=2") == 200);
    CHECK(asking_fault(&a, "remedy")[0] != '\0');
    CHECK(ask(&a, check_routes, "POST", "/api/check/weather", "") == 404);
    asking_close(&a);
}

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* As fast as somebody types: a long evening of readings, the last line not finished. The bound is ten times what it
 * should take, since machines that test are busy. */
TEST(soon_enough_to_type_along)
{
    struct asking a;
    struct text text = TEXT_EMPTY;
    asking_open(&a);
    for (int k = 0; k < 200; k++)
        text_addf(&text, "%d:%02d:30  12.%02d V  24.%d A  %d.4 Ah\n", k / 60, k % 60, 90 - k % 60, k % 10, k / 2);
    text_add(&text, "3:30:00  12.1");
    double began_s = now_s();
    CHECK(ask(&a, check_routes, "POST", "/api/check/readings", text_string(&text)) == 200);
    CHECK(now_s() - began_s < 0.05);
    CHECK(json_array_size(json_object_get(a.json, "lines")) == 201);
    CHECK(asking_number(json_object_get(a.json, "fault"), "line") == 201);
    text_free(&text);
    asking_close(&a);
}
