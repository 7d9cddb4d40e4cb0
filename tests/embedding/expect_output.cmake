# Runs PROGRAM and fails unless it exits with 0 and prints exactly what the file EXPECTED holds.
# One reason to change: how a program's output is compared.
execute_process(COMMAND ${PROGRAM} OUTPUT_VARIABLE printed ERROR_VARIABLE complaint RESULT_VARIABLE exit_code)
file(READ ${EXPECTED} expected)
if(NOT exit_code STREQUAL "0")
  message(FATAL_ERROR "${PROGRAM} ended with ${exit_code}; expected 0\n${printed}${complaint}")
endif()
if(NOT printed STREQUAL expected)
  message(FATAL_ERROR "${PROGRAM} printed\n${printed}expected was\n${expected}")
endif()
