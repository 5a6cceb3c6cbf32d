# Installs the build into PREFIX and uses it there: a plan is checked and a simulated body answers.
file(REMOVE_RECURSE "${PREFIX}")
file(MAKE_DIRECTORY "${PREFIX}")

# run(COMMAND WORD...): its output in `out`; anything but exit code 0 fails the test.
function(run)
  execute_process(COMMAND ${ARGN} OUTPUT_VARIABLE out ERROR_VARIABLE err RESULT_VARIABLE code)
  if(NOT code EQUAL 0)
    message(FATAL_ERROR "${ARGN}: exit ${code}\n${out}${err}")
  endif()
  set(out "${out}" PARENT_SCOPE)
endfunction()

run("${CMAKE_COMMAND}" --install "${BUILD}" --prefix "${PREFIX}")
run("${PREFIX}/bin/noonfall" check "${PREFIX}/share/noonfall/plans/first-light.yaml")
# The camera program is found beside the real one, not beside the link.
run("${PREFIX}/bin/noonfall" cameras --simulate mirrorless-20)
if(NOT out MATCHES "mirrorless-20")
  message(FATAL_ERROR "no simulated body answered:\n${out}")
endif()
foreach(file bin/noonfalld bin/noonfall-camera share/doc/noonfall/README.md share/doc/noonfall/safety.md)
  if(NOT EXISTS "${PREFIX}/${file}")
    message(FATAL_ERROR "${file} wasn't installed")
  endif()
endforeach()
