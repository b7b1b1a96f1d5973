/* Wide: marks a function whose plain loops the compiler shall make twice, once with the wide instructions that most
 * machines of the kind have, chosen when the program starts. Results are the same to the last bit. */
#ifndef RUNDOWN_BASE_WIDE_H
#define RUNDOWN_BASE_WIDE_H

#if defined(__x86_64__) && defined(__GLIBC__) && !defined(__clang__) && !defined(__SANITIZE_ADDRESS__) && \
    !defined(__SANITIZE_THREAD__)
#define WIDE __attribute__((target_clones("avx2", "default")))
#else
#define WIDE
#endif

#endif
