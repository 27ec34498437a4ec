/* Go asks the system for randomness by this name; this wine has none of it. */
#include <windows.h>

BOOLEAN NTAPI SystemFunction036(PVOID data, ULONG size); /* RtlGenRandom */

__declspec(dllexport) BOOL WINAPI ProcessPrng(PBYTE data, SIZE_T size)
{
	while (size > 0) {
		ULONG n = size > 0x10000000 ? 0x10000000 : (ULONG)size;
		if (!SystemFunction036(data, n))
			return FALSE;
		data += n;
		size -= n;
	}
	return TRUE;
}
