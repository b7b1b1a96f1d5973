/* A small test harness. TEST(name) { CHECK(...); } registers itself; one binary a file.
 *
 * Every check prints what it compared when it fails. SKIP leaves a test with a reason and counts as
 * skipped, never as passed. Seeds are constants in the test that uses them. */
#ifndef RUNDOWN_TESTS_CHECK_H
#define RUNDOWN_TESTS_CHECK_H

#include <stdbool.h>
#include <stddef.h>

struct test_case {
    const char *name;
    void (*run)(void);
    struct test_case *next;
};

void test_register(struct test_case *test);
void test_failed(const char *file, int line, const char *what);
bool test_near(const char *file, int line, const char *label, double got, double want, double tolerance);
bool test_text(const char *file, int line, const char *label, const char *got, const char *want);
void test_skip(const char *reason);

/* A file of the open measurement data (`lfp-26650-2.6ah/expected.json`) or of the check values
 * (`../check-values/nile.csv`); NULL when the data are not on this machine. Static buffer. */
const char *test_data(const char *path);

#define TEST(name_)                                                              \
    static void test_##name_(void);                                             \
    __attribute__((constructor)) static void register_##name_(void)             \
    {                                                                           \
        static struct test_case one = {#name_, test_##name_, NULL};             \
        test_register(&one);                                                    \
    }                                                                           \
    static void test_##name_(void)

#define CHECK(cond_) \
    do {             \
        if (!(cond_)) \
            test_failed(__FILE__, __LINE__, #cond_); \
    } while (0)
/* Absolute tolerance. */
#define CHECK_NEAR(got_, want_, tolerance_) \
    test_near(__FILE__, __LINE__, #got_, (got_), (want_), (tolerance_))
/* Relative tolerance. */
#define CHECK_REL(got_, want_, relative_) \
    test_near(__FILE__, __LINE__, #got_, (got_), (want_), (relative_) * ((want_) < 0 ? -(want_) : (want_)))
#define CHECK_TEXT(got_, want_) test_text(__FILE__, __LINE__, #got_, (got_), (want_))
#define SKIP(reason_)      \
    do {                   \
        test_skip(reason_); \
        return;            \
    } while (0)

#endif
