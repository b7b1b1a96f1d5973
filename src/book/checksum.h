/* Checksum: XXH64 (Yann Collet, xxHash specification, version 0.1.1), 64 bits, not cryptographic. */
#ifndef RUNDOWN_BOOK_CHECKSUM_H
#define RUNDOWN_BOOK_CHECKSUM_H

#include <stddef.h>
#include <stdint.h>

uint64_t checksum(const unsigned char *bytes, size_t count, uint64_t seed);

#endif
