#include "http/door.h"
#include "check.h"

#include <string.h>

static const int64_t second = 1000000000;

struct hall {
    struct clock_set set;
    struct clock clock;
    struct door *door;
    char reader[DOOR_CODE], operator[DOOR_CODE];
};

static void hall_open(struct hall *hall)
{
    hall->set = (struct clock_set){.now_ns = 5 * second};
    hall->clock = clock_by_hand(&hall->set);
    hall->door = door_new(&hall->clock);
    door_code(hall->door, HTTP_READER, hall->reader);
    door_code(hall->door, HTTP_OPERATOR, hall->operator);
}

static enum status pair(struct hall *hall, const char *from, const char *code, char token[static DOOR_TOKEN])
{
    enum http_role role;
    struct message message = {0};
    enum status status = door_pair(hall->door, from, code, token, &role, &message);
    CHECK(status == STATUS_OK || (message.what[0] != '\0' && message.remedy[0] != '\0'));
    return status;
}

TEST(codes_are_easy_to_read_and_differ)
{
    struct hall hall;
    char other[DOOR_CODE];
    hall_open(&hall);
    CHECK(strlen(hall.reader) == 8 && strlen(hall.operator) == 8 && strcmp(hall.reader, hall.operator) != 0);
    CHECK(strspn(hall.reader, "23456789ABCDEFGHJKMNPQRSTVWXYZ") == 8);
    door_new_codes(hall.door);
    door_code(hall.door, HTTP_READER, other);
    CHECK(strcmp(hall.reader, other) != 0);
    door_free(hall.door);
}

/* 8,000 letters of 30: each is expected 267 times with a spread of 16; seven spreads are never left by chance. */
TEST(each_letter_of_a_code_is_as_likely)
{
    struct hall hall;
    int counts[256] = {0}, known = 0;
    hall_open(&hall);
    for (int n = 0; n < 1000; n++) {
        door_new_codes(hall.door);
        door_code(hall.door, HTTP_OPERATOR, hall.operator);
        for (int k = 0; k < 8; k++)
            counts[(unsigned char)hall.operator[k]]++;
    }
    for (int k = 0; k < 256; k++) {
        known += counts[k] > 0;
        CHECK(counts[k] == 0 || (counts[k] > 155 && counts[k] < 379));
    }
    CHECK(known == 30);
    door_free(hall.door);
}

TEST(a_code_gives_a_session_of_its_role)
{
    struct hall hall;
    char reader[DOOR_TOKEN], operator[DOOR_TOKEN], other[DOOR_TOKEN];
    hall_open(&hall);
    CHECK(pair(&hall, "10.0.0.7", hall.reader, reader) == STATUS_OK);
    CHECK(pair(&hall, "10.0.0.8", hall.operator, operator) == STATUS_OK);
    CHECK(strlen(reader) == DOOR_TOKEN - 1 && strcmp(reader, operator) != 0);
    CHECK(door_role(hall.door, reader) == HTTP_READER && door_role(hall.door, operator) == HTTP_OPERATOR);
    memcpy(other, operator, sizeof other);
    other[DOOR_TOKEN - 2] = other[DOOR_TOKEN - 2] == 'A' ? 'B' : 'A';
    CHECK(door_role(hall.door, other) == HTTP_ANYONE);
    CHECK(door_role(hall.door, "") == HTTP_ANYONE);
    other[DOOR_TOKEN - 2] = '\0';
    CHECK(door_role(hall.door, other) == HTTP_ANYONE);
    door_new_codes(hall.door);
    CHECK(door_role(hall.door, reader) == HTTP_READER); /* sessions stay */
    CHECK(pair(&hall, "10.0.0.9", hall.reader, other) == STATUS_USAGE);
    door_free(hall.door);
}

TEST(what_is_nearly_a_code_is_none)
{
    struct hall hall;
    char token[DOOR_TOKEN] = "", longer[32], shorter[DOOR_CODE];
    hall_open(&hall);
    snprintf(longer, sizeof longer, "%sA", hall.operator);
    snprintf(shorter, sizeof shorter, "%.7s", hall.operator);
    CHECK(pair(&hall, "a", longer, token) == STATUS_USAGE);
    CHECK(pair(&hall, "b", shorter, token) == STATUS_USAGE);
    CHECK(pair(&hall, "c", "", token) == STATUS_USAGE);
    CHECK_TEXT(token, "");
    door_free(hall.door);
}

TEST(guesses_are_slowed_and_then_refused)
{
    struct hall hall;
    char token[DOOR_TOKEN];
    int64_t before, took = 0;
    hall_open(&hall);
    for (int k = 0; k < 10; k++) {
        before = hall.set.now_ns;
        CHECK(pair(&hall, "10.0.0.66", "AAAAAAAA", token) == STATUS_USAGE);
        CHECK(hall.set.now_ns - before > took); /* slower each time */
        took = hall.set.now_ns - before;
    }
    CHECK(took >= 2 * second && took <= 5 * second);
    CHECK(pair(&hall, "10.0.0.66", hall.operator, token) == STATUS_AMBIGUOUS); /* the right one comes too late */
    CHECK(pair(&hall, "10.0.0.7", hall.operator, token) == STATUS_OK);         /* another address is not punished */
    hall.set.now_ns += 590 * second;
    CHECK(pair(&hall, "10.0.0.66", hall.operator, token) == STATUS_AMBIGUOUS);
    hall.set.now_ns += 20 * second;
    CHECK(pair(&hall, "10.0.0.66", hall.operator, token) == STATUS_OK);
    door_free(hall.door);
}

TEST(a_right_code_forgives_and_old_guesses_are_forgotten)
{
    struct hall hall;
    char token[DOOR_TOKEN];
    hall_open(&hall);
    for (int round = 0; round < 3; round++) {
        for (int k = 0; k < 9; k++)
            CHECK(pair(&hall, "10.0.0.5", "AAAAAAAA", token) == STATUS_USAGE);
        CHECK(pair(&hall, "10.0.0.5", hall.reader, token) == STATUS_OK);
    }
    for (int k = 0; k < 9; k++)
        CHECK(pair(&hall, "10.0.0.6", "AAAAAAAA", token) == STATUS_USAGE);
    hall.set.now_ns += 601 * second;
    for (int k = 0; k < 9; k++)
        CHECK(pair(&hall, "10.0.0.6", "AAAAAAAA", token) == STATUS_USAGE);
    CHECK(pair(&hall, "10.0.0.6", hall.reader, token) == STATUS_OK);
    door_free(hall.door);
}

TEST(many_addresses_of_guessers_are_survived)
{
    struct hall hall;
    char token[DOOR_TOKEN], from[32];
    hall_open(&hall);
    for (int k = 0; k < 300; k++) {
        snprintf(from, sizeof from, "10.0.%d.%d", k / 250, k % 250);
        CHECK(pair(&hall, from, "ZZZZZZZ", token) == STATUS_USAGE);
    }
    CHECK(pair(&hall, "10.0.9.9", hall.reader, token) == STATUS_OK);
    door_free(hall.door);
}

TEST(a_session_ends_unused_or_by_hand)
{
    struct hall hall;
    char first[DOOR_TOKEN], second_token[DOOR_TOKEN], third[DOOR_TOKEN];
    struct door_session list[DOOR_SESSIONS];
    hall_open(&hall);
    CHECK(pair(&hall, "10.0.0.1", hall.reader, first) == STATUS_OK);
    CHECK(pair(&hall, "10.0.0.2", hall.operator, second_token) == STATUS_OK);
    CHECK(pair(&hall, "10.0.0.3", hall.reader, third) == STATUS_OK);
    hall.set.now_ns += 11 * 3600 * second;
    CHECK(door_role(hall.door, first) == HTTP_READER); /* counts as use */
    hall.set.now_ns += 2 * 3600 * second;
    CHECK(door_role(hall.door, second_token) == HTTP_ANYONE);
    CHECK(door_sessions(hall.door, list) == 1);
    CHECK_TEXT(list[0].from, "10.0.0.1");
    CHECK_NEAR(list[0].unused_s, 7200, 1e-6);
    CHECK(strstr(first, list[0].name) == NULL);
    door_end(hall.door, "");
    door_end(hall.door, "nobody");
    CHECK(door_role(hall.door, first) == HTTP_READER);
    door_end(hall.door, list[0].name);
    CHECK(door_role(hall.door, first) == HTTP_ANYONE && door_sessions(hall.door, list) == 0);
    CHECK(pair(&hall, "10.0.0.3", hall.reader, third) == STATUS_OK);
    door_end_token(hall.door, "");
    CHECK(door_role(hall.door, third) == HTTP_READER);
    door_end_token(hall.door, third);
    CHECK(door_role(hall.door, third) == HTTP_ANYONE);
    door_free(hall.door);
}

TEST(the_session_longest_unused_makes_room)
{
    struct hall hall;
    char first[DOOR_TOKEN], second_token[DOOR_TOKEN], other[DOOR_TOKEN];
    hall_open(&hall);
    CHECK(pair(&hall, "10.0.0.1", hall.reader, first) == STATUS_OK);
    hall.set.now_ns += second;
    CHECK(pair(&hall, "10.0.0.2", hall.reader, second_token) == STATUS_OK);
    hall.set.now_ns += second;
    CHECK(door_role(hall.door, first) == HTTP_READER);
    for (int k = 2; k <= DOOR_SESSIONS; k++)
        CHECK(pair(&hall, "10.0.0.3", hall.reader, other) == STATUS_OK);
    CHECK(door_role(hall.door, first) == HTTP_READER && door_role(hall.door, second_token) == HTTP_ANYONE);
    door_free(hall.door);
}
